import {
  cells,
  cut,
  fill,
  wrap,
  type BoardView,
  type ClockView,
  type OvenView,
  type ProbeView,
} from '../view/index.ts';
import { large, ROWS } from './letters.ts';
import { BLANK, cutLine, ends, line, widthOf, type Ink, type Line, type Span } from './lines.ts';

/* Temperatures: rows on the board for what is waited for, and a page of all of them. */

const CLOCK_INKS: Readonly<Record<ClockView['state'], Ink | undefined>> = {
  runs: undefined,
  close: 'care',
  missed: 'bad',
  met: 'quiet',
};

/** A stretch of text, and the same in fewer words. */
interface Words extends Span {
  readonly brief?: string;
}

/** What there is to say of a probe beside its reading, the most pressing first. */
function wordsOn(probe: ProbeView, clocks: readonly ClockView[]): Words[] {
  const own = clocks.filter((clock) => clock.probe === probe.name && clock.state !== 'met');
  const pressing = (clock: ClockView): boolean => clock.state !== 'runs';
  const clock = (each: ClockView): Words => ({
    brief: `${pressing(each) ? '! ' : ''}${each.brief}`,
    text: `${pressing(each) ? '! ' : ''}${each.text}`,
    ink: CLOCK_INKS[each.state],
    bold: pressing(each),
  });
  return [
    ...own.filter(pressing).map(clock),
    ...(probe.fault === undefined ? [] : [{ text: `! ${probe.fault}`, ink: 'care' as const, bold: true }]),
    ...(probe.ahead === undefined ? [] : [{ text: probe.ahead }]),
    ...own.filter((each) => !pressing(each)).map(clock),
  ];
}

type HeatRows = Pick<BoardView, 'heat' | 'ovens'>;

const isLate = (oven: OvenView): boolean => oven.forecast?.late === true;

/** How many rows {@link paintHeatRows} can fill. */
export const heatRows = ({ heat, ovens }: HeatRows): number =>
  ovens.filter(isLate).length + heat.probes.filter((probe) => probe.watched).length;

/** Ovens that will be late, and the probes that something waits for, one row each; what does not fit is left out whole. */
export function paintHeatRows({ heat, ovens }: HeatRows, width: number, rows: number): Line[] {
  const late = ovens.filter(isLate).map((oven) => paintLate(oven, width));
  const probes = heat.probes.filter((probe) => probe.watched);
  return [...late, ...probes.map((probe) => paintProbe(probe, heat.clocks, width, '  '))].slice(0, rows);
}

/** The forecast of an oven that will be late; where it does not fit, without how sure it is. */
function paintLate({ name, forecast }: OvenView, width: number): Line {
  const text = forecast?.text ?? '';
  const says = [text, text.replace(/ \([^)]*\)/, '')];
  const names = [`  ${fill(name, 11)} `, `  ${name} `];
  const fitting = names
    .flatMap((before) => says.map((said) => ({ before, said: `! ${said}` })))
    .find(({ before, said }) => cells(before) + cells(said) <= width);
  const { before, said } = fitting ?? { before: `  ${name} `, said: `! ${says.at(-1)}` };
  return cutLine([{ text: before }, { text: said, ink: 'care', bold: true }], width);
}

function paintProbe(probe: ProbeView, clocks: readonly ClockView[], width: number, before: string): Line {
  const name = width >= 72 ? 11 : 8;
  const head: Line = [
    { text: `${before}${fill(probe.name, name)} ` },
    { text: fill(probe.reads ?? '-', 8, 'right'), bold: true },
    { text: `  ${fill(width >= 60 ? probe.age : '', width >= 60 ? 10 : 0)}`, ink: 'quiet' },
  ];
  const row: Span[] = [...head];
  for (const { brief, ...words } of wordsOn(probe, clocks)) {
    const room = width - widthOf(row) - 2;
    const text = [words.text, ...(brief === undefined ? [] : [brief])].find((each) => cells(each) <= room);
    if (text !== undefined) row.push({ text: '  ' }, { ...words, text });
    else {
      if (row.length === head.length) row.push({ text: '  ' }, { ...words, text: cut(words.text, room) });
      break;
    }
  }
  return cutLine(row, width);
}

/** All probes with their curves, cooling clocks, ovens and feeds. */
export function paintHeat(view: Pick<BoardView, 'heat' | 'ovens'>, width: number, rows: number): Line[] {
  const { heat } = view;
  const below = belowOf(view, width);
  const room = Math.max(0, rows - 1 - Math.min(below.length, Math.floor(rows / 2)));
  const probes = heat.probes.length === 0 ? [line('   no probe is known')] : paintProbes(view, width, room);
  return [BLANK, ...probes, ...below].slice(0, rows);
}

/** Rows a probe takes with figures three rows high: its name and curve, the figures, and a row between. */
const TALL = ROWS.half + 2;

/** Large figures for those that something waits for, while there is room; one row for each of the others. */
function paintProbes({ heat }: Pick<BoardView, 'heat'>, width: number, rows: number): Line[] {
  const tall = new Set<ProbeView>();
  let left = rows - heat.probes.length;
  for (const probe of [...heat.probes].sort((a, b) => Number(b.watched) - Number(a.watched))) {
    if (width < 60 || left < TALL - 1 || probe.reads === undefined) continue;
    tall.add(probe);
    left -= TALL - 1;
  }
  const drawn = heat.probes.flatMap((probe, index) => {
    const number = index < 9 ? `${index + 1}` : '';
    return tall.has(probe)
      ? paintTall(probe, heat.clocks, width, number)
      : [paintProbe(probe, heat.clocks, width, ` ${number.padEnd(1)} `)];
  });
  if (drawn.length <= rows) return drawn;
  return [...drawn.slice(0, rows - 1), line(`   and ${heat.probes.length - rows + 1} more`)];
}

function paintTall(probe: ProbeView, clocks: readonly ClockView[], width: number, number: string): Line[] {
  const figures = large(probe.reads ?? '', 'half', 34) ?? ['', probe.reads ?? '', ''];
  const wide = Math.max(24, ...figures.map((row) => row.length)) + 3;
  const inside = probe.inside === '' ? '' : ` in ${probe.inside}`;
  const head: Line = [
    { text: ` ${number} ` },
    { text: `${probe.name}${inside}`, bold: true },
    { text: `  ${probe.age}`, ink: 'quiet' },
  ];
  const words = wordsOn(probe, clocks);
  const room = width - wide - 2;
  // What is wrong is told over two rows rather than cut.
  const told = words.flatMap((span) =>
    wrap(span.text, room, words.length < 3 ? 2 : 1).map((text): Span => ({ ...span, text })),
  );
  return [
    ends(head, curveLine(probe, Math.min(48, width - widthOf(head) - 4)), width),
    ...figures.map((row, index): Line => {
      const right = told[index];
      return [{ text: `   ${fill(row, wide)}`, bold: true }, ...(right ? [right] : [])];
    }),
    BLANK,
  ];
}

const LEVELS = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'] as const;
/** The least stretch of time and of temperature that fills a curve: less is drawn as little as it is. */
const LEAST_S = 600;
const LEAST_DEGREES = 4;

/** How a probe's reading has gone over the last hour: the first figure, the curve, the last, and the time it took. */
function curveLine({ curve, scale }: Pick<ProbeView, 'curve' | 'scale'>, width: number): Line {
  const [first] = curve;
  const last = curve.at(-1);
  if (!first || !last || curve.length < 2) return BLANK;
  const label = `${Math.round(first.figure)} `;
  const after = ` ${Math.round(last.figure)} ${scale}, ${Math.max(1, Math.round(first.ago / 60))} min `;
  const columns = width - cells(label) - cells(after);
  if (columns < 8) return BLANK;
  return [{ text: label, ink: 'quiet' }, { text: sparkline(curve, columns) }, { text: after, ink: 'quiet' }];
}

function sparkline(curve: ProbeView['curve'], columns: number): string {
  const oldest = Math.max(LEAST_S, curve[0]?.ago ?? 0);
  const figures = curve.map((each) => each.figure);
  const low = Math.min(...figures);
  const span = Math.max(LEAST_DEGREES, Math.max(...figures) - low);
  const buckets: (number | undefined)[] = Array.from({ length: columns }, () => undefined);
  for (const { ago, figure } of curve)
    buckets[Math.min(columns - 1, Math.floor(((oldest - ago) / oldest) * columns))] = figure;
  let before: number | undefined;
  // Where nothing was read for a while the curve goes on as it was: its age is told beside it.
  return buckets
    .map((figure) => {
      before = figure ?? before;
      return before === undefined ? ' ' : level(before, low, span);
    })
    .join('');
}

const level = (figure: number, low: number, span: number): string =>
  LEVELS[Math.floor(((figure - low) / span) * 7.999)] ?? '█';

/** A course that changes by less is not worth a row, in degrees. */
const LEAST_COURSE = 10;

function levels(course: readonly number[]): string {
  const low = Math.min(...course);
  const span = Math.max(LEAST_COURSE, Math.max(...course) - low);
  return course.map((figure) => level(figure, low, span)).join('');
}

/** Below the probes: missed limits in the rule's words, the rules, the ovens, the feeds. */
function belowOf({ heat, ovens }: Pick<BoardView, 'heat' | 'ovens'>, width: number): Line[] {
  const says = heat.clocks.flatMap(({ who, says: words }) =>
    words === undefined
      ? []
      : wrap(`${who}: ${words}`, width - 6, 3).map((text, index) =>
          line(`${index === 0 ? ' ! ' : '   '}${text}`, { ink: 'bad', bold: true }),
        ),
  );
  return [
    ...says,
    ...(heat.rules === undefined ? [] : wrap(heat.rules, width - 6, 2).map((text) => line(`   ${text}`))),
    ...ovens.flatMap((oven) => paintOven(oven, width)),
    ...heat.feeds.map((feed) =>
      cutLine(
        [
          { text: `   ${feed.name}`, bold: true, ink: feed.on ? undefined : 'care' },
          { text: ` ${feed.text}`, ink: feed.on ? 'quiet' : 'care' },
        ],
        width,
      ),
    ),
  ];
}

/** What an oven does and will do, and how it is reckoned to go on. */
function paintOven(oven: OvenView, width: number): Line[] {
  const lock = oven.lock
    ? `, keep it shut ${oven.lock.left}${oven.lock.cost === undefined ? '' : ` (${oven.lock.cost})`}`
    : '';
  const said = [oven.forecast?.text ?? oven.stands, `door ${oven.door}${lock}`, oven.lastOpening];
  const late = isLate(oven);
  const head: Line = [
    { text: `   ${fill(oven.name, 11)} `, bold: true },
    { text: `${oven.reckoned ?? oven.short}  `, bold: true },
  ];
  const words = said.filter((part) => part !== undefined).join(', ');
  const inner = Math.max(10, width - 17);
  const beside = Math.max(1, width - widthOf(head) - 3);
  const [first = '', ...more] = cells(words) <= beside ? [words] : wrap(words, beside, 3);
  const style = late ? ({ ink: 'care', bold: true } as const) : {};
  const span = oven.curve.length > 0 ? Math.max(...oven.curve) - Math.min(...oven.curve) : 0;
  const course = oven.curve.slice(0, inner);
  return [
    [...head, { text: `${late ? '! ' : ''}${first}`, ...style }],
    ...more.map((text) => line(`${' '.repeat(15)}${text}`, style)),
    ...(span < LEAST_COURSE
      ? []
      : [
          cutLine(
            [{ text: ' '.repeat(15) }, { text: levels(course) }, { text: ' reckoned', ink: 'quiet' }],
            width,
          ),
        ]),
  ];
}
