import { cut, type AlarmView, type ShowingView, type StageView } from '../view/index.ts';
import { large, largeLines, type LetterSize } from './letters.ts';
import { BLANK, cutLine, ends, fillLine, line, widthOf, type Ink, type Line } from './lines.ts';
import { paintAlarm } from './paint-alarms.ts';

const INKS: Readonly<Record<StageView['tone'], Ink | undefined>> = {
  plain: undefined,
  quiet: 'quiet',
  good: 'good',
  care: 'care',
  bad: 'bad',
};

/**
 * The stage, for a presenter who looks up for a second: what is left of the showing and of the air in large figures, whether
 * it runs over, then what is shown, what to say, what comes, what to reach for, and what the helper does.
 */
export function paintStage(
  stage: StageView,
  alarms: readonly AlarmView[],
  width: number,
  rows: number,
  beat: boolean,
): Line[] {
  const figures = paintFigures(stage, width, rows);
  const head = ends(line(` ${stage.head}`, { bold: true }), line(onAirWords(stage)), width);
  const left = rows - 1 - figures.length;
  const details = fitting(detailsOf(stage, alarms, width, beat), left);
  const told = enlarged(details, width, left - 2);
  const spare = left - told.length;
  return [head, ...(spare >= 2 ? [BLANK] : []), ...figures, ...(spare >= 1 ? [BLANK] : []), ...told].slice(
    0,
    rows,
  );
}

const onAirWords = ({ phase, onAir }: StageView): string => (phase === 'on air' ? `${onAir} on air ` : '');

/** A figure that is drawn large, and what stands below it. */
interface Figure {
  readonly text: string;
  readonly means: string;
  readonly ink?: Ink | undefined;
}

/** What counts: the showing, or how long until the first one; the air; how it will end. */
function figuresOf(stage: StageView): readonly Figure[] {
  const air: Figure = { text: stage.left, means: 'left on air' };
  const end: Figure[] =
    stage.pace === ''
      ? []
      : [
          {
            text: stage.sign,
            means: `${stage.phase === 'over' ? 'ended' : 'ends'} ${stage.pace}`,
            ink: INKS[stage.tone],
          },
        ];
  if (stage.phase === 'before' && stage.next)
    return [{ text: stage.next.figures, means: 'until on air' }, air];
  if (!stage.now) return [{ text: stage.onAir, means: 'on air' }, ...end];
  const { figures, meaning } = stage.now;
  return [{ text: figures, means: MEANS[meaning], ink: meaning === 'left' ? 'accent' : 'care' }, air, ...end];
}

const MEANS: Readonly<Record<ShowingView['meaning'], string>> = {
  left: 'left of this',
  over: 'over its time',
  'waited for': 'waited for',
  'to come': 'to come',
};

/** Large figures side by side with their meanings below; the first is the largest where the screen lets it be. */
function paintFigures(stage: StageView, width: number, rows: number): Line[] {
  const figures = figuresOf(stage);
  const sizes: readonly (readonly LetterSize[])[] = [
    ...(rows >= 28 ? [['double', 'block', 'block'] as const, ['double', 'block', 'half'] as const] : []),
    ...(rows >= 19
      ? [
          ['block', 'block', 'block'] as const,
          ['block', 'block', 'half'] as const,
          ['block', 'half', 'half'] as const,
        ]
      : []),
    ['half', 'half', 'half'],
  ];
  for (const each of sizes) {
    const drawn = figures.map(({ text }, index) => large(text, each[index] ?? 'half', width));
    const wide = figures.map(({ means }, index) =>
      Math.max(means.length, drawn[index]?.[0]?.length ?? width),
    );
    if (wide.reduce((sum, one) => sum + one + GAP, 0) <= width)
      return sideBySide(figures, drawn, wide, width);
  }
  // No room for letters: the air's own figure is the first to go.
  const [counts, air, ...end] = figures;
  return [
    cutLine(
      [counts, ...end, air].flatMap((figure): Line =>
        figure
          ? [{ text: ` ${figure.text}`, bold: true, ink: figure.ink }, { text: ` ${figure.means} ` }]
          : [],
      ),
      width,
    ),
  ];
}

/** Cells between figures at the least. */
const GAP = 3;

/** Spread over the width: the first at the left, the last at the right; all stand on one line. */
function sideBySide(
  figures: readonly Figure[],
  drawn: readonly (string[] | undefined)[],
  wide: readonly number[],
  width: number,
): Line[] {
  const high = Math.max(...drawn.map((rows) => rows?.length ?? 0));
  const gaps = Math.max(1, figures.length - 1);
  const gap = Math.min(16, Math.floor((width - 2 - wide.reduce((sum, one) => sum + one, 0)) / gaps));
  const row = (textOf: (index: number) => string, styled: boolean): Line =>
    cutLine(
      figures.flatMap(({ ink }, index): Line => {
        const cell = line(textOf(index), styled ? { ink, bold: true } : {});
        const last = index === figures.length - 1;
        return [
          ...(index === 0 ? [{ text: ' ' }] : []),
          ...fillLine(cell, (wide[index] ?? 0) + (last ? 0 : gap)),
        ];
      }),
      width,
    );
  return [
    ...Array.from({ length: high }, (_, at) =>
      row((index) => drawn[index]?.[at - high + (drawn[index]?.length ?? 0)] ?? '', true),
    ),
    row((index) => figures[index]?.means ?? '', false),
  ];
}

/** A row of words, and how much it is needed: 1 the most. */
interface Detail {
  readonly need: number;
  readonly row: Line;
  /** What of it can be in large letters, behind which word. */
  readonly large?: {
    readonly label: (typeof LARGE_FIRST)[number];
    readonly says: string;
    /** Behind the letters, as small as ever. */
    readonly aside: string;
  };
}

/** As many as fit, the most needed; in their own order. */
function fitting(details: readonly Detail[], rows: number): Detail[] {
  const kept = new Set(details.toSorted((a, b) => a.need - b.need).slice(0, Math.max(0, rows)));
  return details.filter((detail) => kept.has(detail));
}

/** Their rows, in large letters as far as `rows` allow: what comes next first, then what is shown. */
function enlarged(details: readonly Detail[], width: number, rows: number): Line[] {
  const letters = lettersFor(details, width, rows - details.length);
  return details.flatMap((detail): Line[] => {
    const drawn = letters.get(detail);
    if (!drawn) return [detail.row];
    return [
      BLANK,
      ...drawn.map((row, index): Line => [
        { text: (index === 0 ? ` ${detail.large?.label ?? ''}` : '').padEnd(LABEL) },
        { text: row, bold: true },
        ...(index === drawn.length - 1 ? [{ text: detail.large?.aside ?? '' }] : []),
      ]),
    ];
  });
}

/** The largest letters in which all of them fit into the spare rows; in the smallest, as many as fit. */
function lettersFor(
  details: readonly Detail[],
  width: number,
  spare: number,
): ReadonlyMap<Detail, readonly string[]> {
  const wanted = LARGE_FIRST.flatMap((label) => details.find((each) => each.large?.label === label) ?? []);
  for (const [size, most] of SIZES) {
    const letters = new Map<Detail, readonly string[]>();
    let left = spare;
    for (const detail of wanted) {
      const { says = '', aside = '' } = detail.large ?? {};
      const lines = largeLines(says, size, width - LABEL - aside.length - 1, most);
      // The smaller ones have room below themselves.
      const drawn = lines?.flatMap((rows, index) => (index > 0 && size === 'block' ? ['', ...rows] : rows));
      // A blank row above it, and the row that it had.
      if (!drawn || left < drawn.length) continue;
      letters.set(detail, drawn);
      left -= drawn.length;
    }
    if (size === 'half' || letters.size === wanted.length) return letters;
  }
  return new Map();
}

/** Sizes of letters, and over how many lines at most what is shown is written in them. */
const SIZES = [
  ['block', 2],
  ['half', 3],
] as const;
const LARGE_FIRST = ['next', 'now'] as const;
/** Cells that the word before a row takes. */
const LABEL = 9;

function detailsOf(stage: StageView, alarms: readonly AlarmView[], width: number, beat: boolean): Detail[] {
  const { now, next, swap, helper, change, due, late, out } = stage;
  const told = (need: number, label: string, words: Line): Detail => ({
    need,
    row: cutLine([{ text: ` ${label.padEnd(7)} ` }, ...words], width),
  });
  const letters = (label: 'now' | 'next', says: string, { from }: ShowingView): Pick<Detail, 'large'> => ({
    large: { label, says, aside: from === undefined ? '' : `  (${from})` },
  });
  const [job] = due;
  const alarm = alarms.find(({ unheard }) => unheard) ?? alarms[0];
  return [
    ...(now ? [{ ...told(1, 'now', showing(now)), ...letters('now', now.what, now) }] : []),
    ...(now?.waits === undefined ? [] : [told(2, 'waits', line(`for ${now.waits}`, { ink: 'care' }))]),
    ...saying(5, now, width),
    ...(change
      ? [
          told(3, '', [
            { text: KEYS[change.kind], bold: true },
            { text: `  ${change.words}`, ink: INKS[stage.tone], bold: true },
          ]),
        ]
      : []),
    ...(next
      ? [
          {
            ...told(2, 'next', [{ text: `${next.figures}  `, bold: true }, ...showing(next)]),
            ...letters('next', `${next.figures} ${next.what}`, next),
          },
        ]
      : now
        ? [told(2, 'next', line('nothing: it is the last'))]
        : []),
    ...saying(6, next, width),
    ...(swap
      ? [
          told(4, 'reach', [{ text: `${swap.wanted}  ` }, { text: `swap ${swap.what}`, bold: true }]),
          told(7, '', [
            { text: `from ${swap.where}` },
            ...(swap.by === undefined
              ? []
              : [
                  {
                    text: `, ${swap.late ? '! ' : ''}${swap.by}`,
                    ink: swap.late ? ('bad' as const) : undefined,
                  },
                ]),
          ]),
        ]
      : []),
    ...(late === undefined ? [] : [told(4, 'late', line(late, { ink: 'care', bold: true }))]),
    ...(out.length === 0 ? [] : [told(8, 'dropped', line(out.join('; '), { ink: 'care' }))]),
    ...(helper === undefined ? [] : [told(8, 'helper', line(helper))]),
    ...(job === undefined
      ? []
      : [
          told(4, 'off view', [
            { text: 'j', bold: true },
            { text: `  ${job}${due.length > 1 ? `  and ${due.length - 1} more` : ''}` },
          ]),
        ]),
    ...(alarm
      ? paintAlarm(alarm, width, 2, beat).map((row, index): Detail => ({ need: index === 0 ? 0 : 9, row }))
      : []),
  ];
}

/** The key that takes what is offered. */
const KEYS = { cut: 'c', stretch: 'f' } as const;

const showing = ({ what, from }: ShowingView): Line => [
  { text: what, bold: true },
  ...(from === undefined ? [] : [{ text: `  (${from})` }]),
];

const saying = (need: number, shown: ShowingView | undefined, width: number): Detail[] =>
  shown?.say === undefined ? [] : [{ need, row: cutLine(line(`   say    "${shown.say}"`), width) }];

/** What the keys do on the stage, whole hints only. */
export function stageFooter(stage: StageView, width: number): Line {
  const { now, next, change, due } = stage;
  const on =
    stage.phase !== 'on air' || now?.waits !== undefined
      ? undefined
      : now?.meaning === 'waited for'
        ? `on air: ${cut(now.what, 24)}`
        : next
          ? `on: ${cut(next.what, 24)}`
          : 'off air';
  const hints: readonly (readonly [string, string])[] = [
    ...(on === undefined ? [] : [['space', on] as const]),
    ...(change ? [[KEYS[change.kind], change.kind] as const] : []),
    ...(due.length > 0 ? [['j', 'off view'] as const] : []),
    ['u', 'take back'],
    ...(stage.swap || now?.from?.includes('swap') ? [['x', 'spoilt'] as const] : []),
    ['g', 'bench'],
    ['?', 'all keys'],
  ];
  const drawn = (count: number): Line =>
    hints
      .slice(0, count)
      .flatMap(([key, does]): Line => [{ text: ` ${key}`, bold: true }, { text: ` ${does}  ` }]);
  const count = hints.findLastIndex((_, index) => widthOf(drawn(index + 1)) <= width) + 1;
  return cutLine(drawn(Math.max(1, count)), width);
}
