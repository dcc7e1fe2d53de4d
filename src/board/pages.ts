import { cut, fill, wrap, type AlarmView, type AwayView, type OfferView } from '../view/index.ts';
import { BLANK, cutLine, ends, line, widthOf, type Ink, type Line } from './lines.ts';

/** One line of what happened, ready to print. */
export interface LogEntry {
  readonly clock: string;
  readonly text: string;
}

const INKS: Readonly<Record<AlarmView['priority'], Ink | undefined>> = {
  high: 'bad',
  medium: 'care',
  low: undefined,
};

/** How grave it is and which kind. */
function alarmHead(alarm: AlarmView, beat: boolean): Line {
  const ink = INKS[alarm.priority];
  return [
    { text: ` ${alarm.mark} `, ink, bold: true },
    { text: alarm.priority.toUpperCase(), ink, bold: true, inverse: alarm.unheard && beat },
    { text: `  ${alarm.kind}`, bold: true },
  ];
}

const joined = (...parts: readonly (string | undefined)[]): Line =>
  line(`${parts.filter((part) => part !== undefined).join(', ')} `);

/** An alarm in one or two rows: how grave, what it is, how long there is; then what to do about it. */
export function paintAlarm(alarm: AlarmView, width: number, rows: 1 | 2, beat: boolean): Line[] {
  const head: Line = [...alarmHead(alarm, beat), { text: `: ${alarm.cause}` }];
  // That it was heard needs no word where cells are few: what was not says so.
  const state = alarm.state === 'heard' && alarm.left !== undefined ? undefined : alarm.state;
  return [
    ends(head, joined(alarm.left, state), width),
    cutLine(line(`     ${alarm.action}  (else: ${alarm.consequence})`), width),
  ].slice(0, rows);
}

/** The mark of a new timetable. */
const OFFER = '◇';
const OFFER_INKS: Readonly<Record<OfferView['lines'][number]['kind'], Ink | undefined>> = {
  service: 'care',
  broken: 'care',
  moved: undefined,
};

/** A new timetable on the board: what it means for service and the key to look at it, then as many of its lines as fit. */
export function paintOfferRows(offer: OfferView, width: number, rows: number): Line[] {
  // What it means for service is not to be cut: the words beside it give way, then its own.
  const choices = [
    [offerHead(offer, 'NEW TIMETABLE', offer.headline), '  n', ' look at it '],
    [offerHead(offer, 'NEW TIMETABLE', offer.headline), ' n', ' '],
    [offerHead(offer, 'NEW', offer.headline), ' n', ' '],
    [offerHead(offer, 'NEW', offer.shorter), ' n', ' '],
  ] as const;
  const keyed = choices.map(
    ([head, key, does]) => [head, [{ text: key, bold: true }, { text: does }]] as const,
  );
  const fitting = keyed.find(([head, key]) => widthOf(head) + widthOf(key) <= width) ?? keyed.at(-1);
  const first = fitting ? [ends(fitting[0], fitting[1], width)] : [];
  return [...first, ...offerLines(offer, width, rows - 1)].slice(0, rows);
}

const offerHead = ({ tone }: OfferView, called: string, words: string): Line => [
  { text: ` ${OFFER} ${called}`, bold: true },
  { text: `  ${words}`, ink: tone === 'care' || tone === 'bad' ? tone : undefined, bold: tone !== 'good' },
];

/** What is different, one line each; what does not fit is counted. */
function offerLines({ lines }: OfferView, width: number, rows: number): Line[] {
  if (rows <= 0) return [];
  const shown = lines.length <= rows ? lines : lines.slice(0, rows - 1);
  const more = lines.length - shown.length;
  return [
    ...shown.map(({ kind, text }) =>
      cutLine(line(`   ${kind === 'broken' ? '! ' : '  '}${text}`, { ink: OFFER_INKS[kind] }), width),
    ),
    ...(more > 0 ? [line(`     and ${more} more`)] : []),
  ];
}

/** A new timetable in full, while the cook is asked to take it or leave it. */
export function paintOffer(offer: OfferView, width: number, rows: number): Line[] {
  const because = wrap(`because ${offer.reason}`, width - 6, 2).map((text) => line(`     ${text}`));
  const full = offerHead(offer, 'NEW TIMETABLE', offer.headline);
  const title = widthOf(full) <= width ? full : offerHead(offer, 'NEW', offer.shorter);
  const head = [BLANK, cutLine(title, width), ...because, BLANK];
  const kept =
    offer.lines.length === 0
      ? [line('     nothing moves by a minute or more')]
      : offerLines(offer, width, rows - head.length);
  return [...head, ...kept];
}

/** Every standing alarm in full. */
export function paintAlarms(
  alarms: readonly AlarmView[],
  width: number,
  rows: number,
  beat: boolean,
): Line[] {
  if (alarms.length === 0) return [BLANK, line('   nothing is wrong')];
  const inner = width - 6;
  const all = alarms.map((alarm): Line[] => [
    BLANK,
    ends(alarmHead(alarm, beat), joined(alarm.left, alarm.state), width),
    ...wrap(alarm.cause, inner, 2).map((text) => line(`     ${text}`)),
    ...wrap(`else: ${alarm.consequence}`, inner, 2).map((text) => line(`     ${text}`)),
    ...wrap(`do: ${alarm.action}`, inner, 2).map((text) => line(`     ${text}`, { bold: true })),
  ]);
  return firstThatFit(all, rows);
}

function firstThatFit(blocks: readonly Line[][], rows: number): Line[] {
  const kept: Line[] = [];
  for (const [index, block] of blocks.entries()) {
    const last = index === blocks.length - 1;
    if (kept.length + block.length > rows - (last ? 0 : 1))
      return [...kept, line(`     and ${blocks.length - index} more`)];
    kept.push(...block);
  }
  return kept;
}

/** The latest lines of what happened, the newest last. */
export function paintLog(log: readonly LogEntry[], width: number, rows: number): Line[] {
  if (log.length === 0) return [BLANK, line('   nothing has happened yet')];
  const shown = log.slice(-(rows - 1));
  return [BLANK, ...logLines(shown, width)];
}

const logLines = (log: readonly LogEntry[], width: number): Line[] =>
  log.map((entry) => cutLine([{ text: `   ${entry.clock}  `, bold: true }, { text: entry.text }], width));

/** For somebody who comes back: what happened meanwhile, and what is owed now. What is owed never yields its place. */
export function paintAway(away: AwayView, width: number, rows: number): Line[] {
  const owed =
    away.owed.length === 0
      ? [line('   nothing')]
      : away.owed
          .slice(0, Math.max(1, Math.floor(rows / 2) - 2))
          .map((text) => line(cut(`   ${text}`, width), { bold: true }));
  const more = away.owed.length > owed.length ? [line(`   and ${away.owed.length - owed.length} more`)] : [];
  const head = [
    BLANK,
    line(' WHILE YOU WERE AWAY', { bold: true }),
    cutLine(line(` ${away.span}`), width),
    BLANK,
  ];
  const room = rows - head.length - owed.length - more.length - 2;
  const shown = room <= 0 ? [] : away.happened.slice(-room);
  const happened = away.happened.length === 0 ? [line('   nothing happened')] : logLines(shown, width);
  return [
    ...head,
    ...happened.slice(0, Math.max(0, room)),
    BLANK,
    line(' OWED NOW', { bold: true }),
    ...owed,
    ...more,
  ];
}

/** Every key, in the order in which a cook comes to need it: what it does, and the same in few words. */
const KEYS: readonly (readonly [key: string, does: string, short: string])[] = [
  ['space', 'answer what stands as NOW (an alarm: heard)', 'answer NOW'],
  ['u', 'take the last press back', 'take back'],
  ['b 5', 'answer it as of 5 minutes ago (0: 10)', 'it was 5 min ago'],
  ['1-9', 'choose a component (Esc: none)', 'choose a component'],
  ['d', 'the chosen or topmost step is done', 'the step is done'],
  ['m 5', 'it needs 5 more minutes (0: 10)', '5 more minutes'],
  ['s space', 'leave the step out', 'leave it out'],
  ['x space', 'it is lost: make it again', 'lost, make again'],
  ['t 5', 'timer of 5 minutes (t t: any length)', 'timer of 5 min'],
  ['r', 'a temperature you read', 'temperature'],
  ['k', 'the oven is set as asked', 'the oven is set'],
  ['o', 'oven door opened, shut', 'oven door'],
  ['n', 'new timetable: ask for one, or look at it', 'new timetable'],
  ['h', 'hush: everything is heard', 'hush'],
  ['a', 'alarms', 'alarms'],
  ['l', 'what happened', 'what happened'],
  ['v', 'far view', 'far view'],
  ['.', 'draw the screen anew', 'draw anew'],
  ['q', 'leave, or end the run', 'leave or end'],
];
const MARKS: readonly string[] = [
  '○ waits   ▶ runs   ● due   ◆ out, spoiling   ✔ done',
  '█ both hands   ▒ stay near   ░ by itself   ─ over',
];
/** Cells a column of keys takes with the full words, and with the few. */
const FULL = 56;
const FEW = 28;

/** All keys in as many columns as it takes, and what the marks mean. */
export function paintHelp(width: number, rows: number): Line[] {
  const marks = MARKS.flatMap((text) => wrap(text, width - 4, 2)).map((text) => line(`  ${text}`));
  const room = Math.max(1, rows - marks.length - 2);
  const columns = Math.min(Math.max(1, Math.floor(width / FEW)), Math.ceil(KEYS.length / room));
  const perColumn = Math.ceil(KEYS.length / columns);
  const each = Math.floor(width / columns);
  const keys = Array.from({ length: perColumn }, (_, row): Line =>
    Array.from({ length: columns }, (__, column) => KEYS[column * perColumn + row]).flatMap((entry) => {
      if (!entry) return [];
      const [key, does, short] = entry;
      return [
        { text: `  ${key.padEnd(8)}`, bold: true },
        { text: fill(each >= FULL ? does : short, each - 10) },
      ];
    }),
  );
  // Where even so not all fits, the keys come before what the marks mean.
  return [BLANK, ...keys, BLANK, ...marks].map((row) => cutLine(row, width)).slice(0, rows);
}
