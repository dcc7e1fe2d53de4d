import { cut, fill, wrap, type AwayView, type MovedServiceView, type OfferView } from '../view/index.ts';
import { BLANK, cutLine, ends, line, widthOf, type Ink, type Line } from './lines.ts';

/** One line of what happened, ready to print. */
export interface LogEntry {
  readonly clock: string;
  readonly text: string;
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
  const ways = offer.others.length + 1;
  const look = ways > 1 ? ` ${ways} ways out ` : ' look at it ';
  const choices = [
    [offerHead(offer, 'NEW TIMETABLE', offer.headline), '  n', look],
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
function offerLines({ lines }: Pick<OfferView, 'lines'>, width: number, rows: number): Line[] {
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

/** A new timetable in full, while the cook is asked to take it or leave it; or several, each with what is different. */
export function paintOffer(offer: OfferView, width: number, rows: number): Line[] {
  const because = wrap(`because ${offer.reason}`, width - 6, 2).map((text) => line(`     ${text}`));
  if (offer.others.length > 0) return paintWays(offer, because, width, rows);
  const full = offerHead(offer, 'NEW TIMETABLE', offer.headline);
  const title = widthOf(full) <= width ? full : offerHead(offer, 'NEW', offer.shorter);
  const head = [BLANK, cutLine(title, width), ...because, BLANK];
  return [...head, ...movesOf(offer, width, rows - head.length)];
}

const movesOf = (way: Pick<OfferView, 'lines'>, width: number, rows: number): Line[] =>
  way.lines.length === 0
    ? [line('     nothing moves by a minute or more')].slice(0, Math.max(0, rows))
    : offerLines(way, width, rows);

/** What it would mean if the guests came at another time, while the cook is asked whether they do. */
export function paintMovedService(moved: MovedServiceView, width: number, rows: number): Line[] {
  const { moves, headline, tone } = moved;
  const ink = tone === 'plain' || tone === 'quiet' ? undefined : tone;
  const words = wrap(headline, width - 4, 3).map((text) => line(`   ${text}`, { bold: true, ink }));
  const most = Math.max(1, Math.min(moves.length, rows - words.length - 4));
  const told = moves.slice(0, most).map((text) => line(`   ${text}`));
  const more = moves.length > most ? [line(`   and ${moves.length - most} more`)] : [];
  const airy = rows >= 8;
  const head = [
    ...(airy ? [BLANK] : []),
    line(' THE GUESTS COME AT ANOTHER TIME', { bold: true }),
    ...told,
    ...more,
    ...words,
    ...(airy ? [BLANK] : []),
  ];
  const other = line('   1-9 so many minutes (0: 10)   e earlier   l later   t other', { ink: 'quiet' });
  const room = rows - head.length - 2;
  const lines = moved.hasTimetable ? movesOf(moved, width, room) : [];
  return [...head, ...lines, ...(airy ? [BLANK] : []), other]
    .map((row) => cutLine(row, width))
    .slice(0, rows);
}

/** Two or three ways out, one below the other: the figure that takes it, what it is, what it means, what moves. */
function paintWays(offer: OfferView, because: readonly Line[], width: number, rows: number): Line[] {
  const ways = [{ number: 1, what: 'as offered', ...offer }, ...offer.others];
  const title = line(` ${OFFER} ${ways.length} WAYS OUT`, { bold: true });
  const airy = rows >= 2 + because.length + 4 * ways.length;
  const head = [...(airy ? [BLANK] : []), title, ...(airy || rows > 3 * ways.length ? because : [])];
  const gaps = airy ? ways.length : 0;
  let left = Math.max(0, rows - head.length - gaps - ways.length);
  // Each in turn gets a row for what moves, until all of it is told or no row is left.
  const shares = ways.map(() => 0);
  for (let more = true; more && left > 0;) {
    more = false;
    for (const [index, way] of ways.entries()) {
      const wanted = Math.max(1, way.lines.length);
      if (left <= 0 || (shares[index] ?? 0) >= wanted) continue;
      shares[index] = (shares[index] ?? 0) + 1;
      left -= 1;
      more = true;
    }
  }
  const drawn = ways.flatMap((way, index): Line[] => [
    ...(airy ? [BLANK] : []),
    cutLine(
      [
        { text: `   ${way.number}  `, bold: true },
        { text: way.what, bold: true },
        { text: `: ${way.headline}`, ink: way.tone === 'care' || way.tone === 'bad' ? way.tone : undefined },
      ],
      width,
    ),
    ...movesOf(way, width, shares[index] ?? 0),
  ]);
  return [...head, ...drawn].slice(0, rows);
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
  ['p', 'temperatures (1-9: a reading of that probe)', 'temperatures'],
  ['k', 'the oven is set as asked', 'the oven is set'],
  ['o', 'oven door opened, shut', 'oven door'],
  ['n', 'new timetable: ask for one, or look at it', 'new timetable'],
  ['n 2', 'takes the second of several ways out', 'second way out'],
  ['i 5', 'the guests come 5 min later (i e 5: earlier)', 'guests later, earlier'],
  ['h', 'hush: everything is heard', 'hush'],
  ['z 1', 'quiet for 10 min (3: 30, 6: 1 h, 0: sound again)', 'quiet for 10 min'],
  ['z h', 'try the sound of high (m medium, l low)', 'try a sound'],
  ['a', 'alarms (1-9: set that one aside, or back)', 'alarms'],
  ['w 1', 'set the topmost alarm aside, for how long and why', 'set alarm aside'],
  ['l', 'what happened', 'what happened'],
  ['v', 'far view', 'far view'],
  ['.', 'draw the screen anew', 'draw anew'],
  ['q', 'leave, or end the run', 'leave or end'],
];
/** The keys that only a demonstration has. */
const STAGE_KEYS: typeof KEYS = [
  ['g', 'stage view or bench view', 'stage or bench'],
  ['c', 'take the cut that is offered', 'take the cut'],
  ['f', 'take the stretch that is offered', 'take the stretch'],
  ['j', 'what is due off view is done', 'off view: done'],
  ['b 2', 'on stage: on to the next one as of 20 s ago (1-9)', 'on, 20 s ago'],
  ['x 1', 'on stage: a swap is spoilt (which, is asked)', 'swap spoilt'],
];
/** Keys that only a rehearsal has. */
const LED: typeof KEYS = [
  ['0', 'the simulated clock stops, goes on', 'stop, go on'],
  ['+ -', 'faster, slower', 'faster, slower'],
  ['Enter', 'on to the next thing that happens', 'next thing'],
  ['Bksp', 'back to the thing before', 'thing before'],
  ['e 1', 'something goes wrong: what, is shown', 'it goes wrong'],
];
const MARKS: readonly string[] = [
  '○ waits   ▶ runs   ● due   ◆ out, spoiling   ✔ done',
  '█ both hands   ▒ stay near   ░ by itself   ─ over',
];
/** Cells a column of keys takes with the full words, and with the few. */
const FULL = 56;
const FEW = 28;

/** All keys in as many columns as it takes, and what the marks mean. */
export function paintHelp(
  width: number,
  rows: number,
  {
    isStage = false,
    isRehearsal = false,
  }: { readonly isStage?: boolean; readonly isRehearsal?: boolean } = {},
): Line[] {
  const all = [...(isRehearsal ? LED : []), ...(isStage ? STAGE_KEYS : []), ...KEYS];
  const marks = MARKS.flatMap((text) => wrap(text, width - 4, 2)).map((text) => line(`  ${text}`));
  const room = Math.max(1, rows - marks.length - 2);
  const columns = Math.min(Math.max(1, Math.floor(width / FEW)), Math.ceil(all.length / room));
  const perColumn = Math.ceil(all.length / columns);
  const each = Math.floor(width / columns);
  const keys = Array.from({ length: perColumn }, (_, row): Line =>
    Array.from({ length: columns }, (__, column) => all[column * perColumn + row]).flatMap((entry) => {
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
