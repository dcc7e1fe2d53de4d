import {
  clockFrom,
  formatDuration,
  roughly,
  seconds,
  type DurationRange,
  type EpochMs,
} from '../../units/index.ts';
import { READY } from '../nature.ts';
import type { Chance, Difference } from './chances.ts';
import type { Measured, Quantile, Report } from './report.ts';
import type { Estimate } from './spread.ts';

/** Lines of each list that are shown; the rest is in the JSON. */
const SHOWN = 6;

/**
 * The report for people: what matters first, in sentences; then the figures; last, how they were got.
 *
 * @param promise what there is to say of whether the timetable holds whatever nature does.
 */
export function reportText(report: Report, promise?: PromiseSaid): string {
  const parts = [
    headLines(report),
    [...summaryLines(report), ...promiseLines(report, promise)],
    readyLines(report),
    windowLines(report),
    blameLines(report),
    clashLines(report),
    startLines(report),
    changeLines(report),
    gotLines(report),
  ];
  return parts
    .filter((lines) => lines.length > 0)
    .map((lines) => lines.join('\n'))
    .join('\n\n');
}

function headLines(report: Report): string[] {
  const { plans, got, begin } = report;
  return [
    ...plans.map(
      ({ title, makes, service }) => `${title}: ${makes}, served ${clock(report, service, begin)}`,
    ),
    got.stopped
      ? `Rehearsed ${times(got.runs)} of ${got.asked}: stopped, this is what there is`
      : `Rehearsed ${times(got.runs)}`,
  ];
}

const times = (count: number): string => (count === 1 ? 'once' : `${count} times`);

function summaryLines(report: Report): string[] {
  const { onTime, well, windows, latestStarts, got } = report;
  if (got.runs === 0) return ['No rehearsal had come to its end.'];
  const first = windows.find(({ broken, kind }) => broken.share > 0 && kind !== 'service');
  const sure = latestStarts.find(({ percent }) => percent === 95);
  return [
    `On time: in ${withError(onTime)} of rehearsals; late is a minute or more.`,
    `All well: in ${withError(well)}, on time and within every limit of the plan.`,
    ...readySummary(report),
    first
      ? `Breaks first: ${first.words}; broken in ${withError(first.broken)}.`
      : 'No limit of the plan was broken.',
    ...lateSummary(report),
    ...helpLines(report),
    ...(sure?.begin === undefined
      ? []
      : [
          `Latest beginning for 95 of 100 to be ready by service: ${clock(report, sure.begin, report.begin)}, ${against(sure.earlier.value)}${sure.earlier.value === 0 ? '' : ' than planned'}${orLater(sure.earlier.value)}.`,
          ...(sure.breaksRules ? [`  ${BREAKS_RULES}.`] : []),
        ]),
  ];
}

/** What there is to say of whether a timetable holds whatever nature does within the ranges. */
interface PromiseSaid {
  readonly holds: boolean;
  readonly words: readonly string[];
}

function promiseLines({ well }: Report, promise: PromiseSaid | undefined): string[] {
  const [first, ...more] = promise?.words ?? [];
  if (!promise || first === undefined) return [];
  return [
    `It ${first}`,
    ...more.map((line) => `  ${line.trim()}`),
    ...(promise.holds && well.share < 1
      ? ['  Here temperatures also come late and presses are forgotten, which lies outside the ranges.']
      : []),
  ];
}

/** The step that has most to do with lateness. */
function lateSummary({ blame: { of, steps } }: Report): string[] {
  const [worst] = steps;
  if (!worst || worst.onPath === 0) return [];
  const who = of === 'late' ? 'Makes it late' : 'Takes most of the margin';
  return [`${who}: ${worst.words}, ${percent(worst.added, 0)} of the delay.`];
}

/** What helps most, by what it helps: where it does not make more of them go well, it makes more of them come in time. */
function helpLines({ best, changes, got }: Report): string[] {
  // Where it was stopped, what helps most may not have been tried twice, or not at all.
  if (!best)
    return changes.length > 0 && !got.stopped ? ['Nothing that was tried helps more than luck would.'] : [];
  const [what, by] = best.well.difference.low > 0 ? ['All well', best.well] : ['On time', best.onTime];
  return [
    `Helps most, tried: ${best.words}.`,
    `  ${what} in ${percent(by.with)} instead of ${percent(by.without)}, ${points(by.difference)},`,
    `  on ${got.compared} other rehearsals than it was chosen by.`,
  ];
}

function readySummary({ ready, late, onTime }: Report): string[] {
  const [half, nine, most] = [50, 90, 99].map(
    (wanted) => ready.find(({ percent: own }) => own === wanted)?.seconds.value ?? NaN,
  );
  if (half === undefined || nine === undefined || most === undefined) return [];
  const worst = late.find(({ percent: own }) => own === 99)?.seconds.value ?? 0;
  return [
    Number.isFinite(nine)
      ? `Ready: usually ${whenReady(half)}, in nine of ten ${whenReady(nine)} or sooner.`
      : `Ready: usually ${whenReady(half)}; one of ten or more came to no end.`,
    ...(onTime.share < 1 && worst >= 60 && Number.isFinite(worst)
      ? [`Late: in 99 of 100 by ${about(worst)} at most.`]
      : []),
  ];
}

function whenReady(value: number): string {
  if (!Number.isFinite(value)) return 'never';
  if (Math.abs(value) < 30) return 'at service';
  return `${about(Math.abs(value))} ${value < 0 ? 'before' : 'after'} service`;
}

/** A length that is an estimate: to ten seconds while it is short, from five minutes on to the minute. */
const about = (value: number): string => {
  const step = value < 295 ? 10 : 60;
  return roughly(seconds(Math.round(value / step) * step));
};

function readyLines({ ready, got }: Report): string[] {
  if (got.runs === 0) return [];
  const names: Readonly<Record<number, string>> = {
    10: 'one of ten by',
    50: 'half by',
    90: 'nine of ten by',
    95: '95 of 100 by',
    99: '99 of 100 by',
  };
  return [
    'Everything ready',
    ...ready.map(({ percent: own, seconds: estimate }: Quantile) =>
      `  ${(names[own] ?? `${own} %`).padEnd(15)} ${whenReady(estimate.value).padEnd(24)} ${readyError(estimate)}`.trimEnd(),
    ),
  ];
}

function readyError({ low, high }: Estimate): string {
  if (!Number.isFinite(low)) return '';
  if (!Number.isFinite(high)) return `(${whenReady(low)} or later)`;
  return `(${whenReady(low)} to ${whenReady(high)})`.replace(
    / (before|after) service to (.*) \1 service/,
    ' to $2 $1',
  );
}

function windowLines({ windows, got }: Report): string[] {
  const broken = windows.filter(({ broken: { share } }) => share > 0);
  const shown = broken.slice(0, 2 * SHOWN);
  const rest = windows.filter(({ broken: { share } }) => share === 0);
  if (got.runs === 0 || windows.length === 0) return [];
  const most = Math.max(0, ...rest.map(({ broken: { high } }) => high));
  return [
    'Limits, and how often they were broken',
    ...shown.map(({ words, broken: chance }) => `  ${withError(chance).padEnd(22)} ${words}`),
    ...andMore(broken.length - shown.length),
    ...(rest.length > 0
      ? [
          `  ${(broken.length > 0 ? 'never' : 'none').padEnd(22)} ${broken.length > 0 ? 'the other' : 'of'} ${rest.length}; each in ${percent(most)} at most, as far as this many rehearsals tell`,
        ]
      : []),
  ];
}

const andMore = (more: number): string[] => (more > 0 ? [`  and ${more} more (--json has them)`] : []);

function blameLines({ blame: { of, runs, steps } }: Report): string[] {
  const shown = steps.filter(({ onPath }) => onPath > 0).slice(0, SHOWN);
  if (runs === 0 || shown.length === 0) return [];
  const which = of === 'late' ? `the ${runs} that were late` : `the latest ${runs}; hardly any was late`;
  return [
    `What made it late (${which})`,
    '  on the path  of the delay  a minute less buys',
    ...shown.map(({ words, onPath, added, minuteLess }) => {
      const buys = minuteLess ? `${buysWords(minuteLess.sooner, minuteLess.onTime)}` : '';
      return `  ${percent(onPath, 0).padStart(11)}  ${percent(added, 0).padStart(12)}  ${buys.padEnd(24)} ${words}`.trimEnd();
    }),
  ];
}

function buysWords(sooner: number, onTime: Difference): string {
  const time = sooner >= 0.5 ? `${roughly(seconds(sooner))} sooner` : 'nothing';
  return Math.abs(onTime.by) >= 0.0005 ? `${time}, ${signed(onTime.by)}` : time;
}

function clashLines({ clashes }: Report): string[] {
  const shown = clashes.filter(({ chance }) => chance.share >= 0.001).slice(0, SHOWN);
  if (shown.length === 0) return [];
  return [
    'Waiting for each other',
    ...shown.map(
      ({ chance, seconds: long, words }) =>
        `  ${withError(chance).padEnd(22)} ${words}; ${about(long)} in the mean`,
    ),
    ...andMore(clashes.length - shown.length),
  ];
}

function startLines(report: Report): string[] {
  const { latestStarts, begin, got } = report;
  if (got.runs === 0) return [];
  return [
    `Latest beginning (planned ${clock(report, begin, begin)}) to be ready by service`,
    ...latestStarts.flatMap(({ percent: own, begin: latest, earlier, verified, breaksRules }) => {
      const name = `  in ${own} of 100`.padEnd(15);
      if (latest === undefined) return [`${name} none: too many never come to an end`];
      const proof = verified ? `; tried on others: ready in ${withError(verified)}` : '';
      const rule = breaksRules ? [`${' '.repeat(16)}${BREAKS_RULES}`] : [];
      return [`${name} ${clock(report, latest, begin)}, ${against(earlier.value)}${proof}`, ...rule];
    }),
  ];
}

/** Where work would have to begin earlier, and perhaps should have begun already, a later service buys the same. */
const orLater = (earlier: number): string => (earlier > 0 ? `; or service as much later` : '');

const BREAKS_RULES = 'but beginning then would break a rule of the plan or of the kitchen';

/** `12 min later`, than planned. */
function against(earlier: number): string {
  if (earlier === 0) return 'as planned';
  return `${formatDuration(seconds(Math.abs(earlier)))} ${earlier > 0 ? 'earlier' : 'later'}`;
}

function changeLines(report: Report): string[] {
  const { changes } = report;
  if (changes.length === 0) return [];
  const shown = changes.slice(0, SHOWN);
  const same = shown.filter(({ well, onTime }) => isSame(well) && isSame(onTime));
  return [
    `What was tried, on ${report.got.compared} of the same rehearsals`,
    ...shown
      .filter((change) => !same.includes(change))
      .flatMap(({ words, well, onTime }) => [
        `  ${words}`,
        `      all well ${triedWords(well)}, on time ${triedWords(onTime)}`,
      ]),
    ...(same.length > 0 ? ['  no difference', ...same.map(({ words }) => `      ${words}`)] : []),
  ];
}

const isSame = ({ difference: { by } }: Measured): boolean => Math.abs(by) < 0.0005;

const triedWords = (measured: Measured): string =>
  `${percent(measured.with)} (${isSame(measured) ? 'as before' : signed(measured.difference.by)})`;

/** How it was got, for the foot of a picture. */
export function gotNotes({ got, plans }: Report): string[] {
  const count = got.runs === 1 ? 'One rehearsal' : `${got.runs} rehearsals`;
  return [
    `${count} of ${plans.map(({ title }) => title).join('; ')}, seeds from ${got.seed} on. The ranges are the cook's own guess until records replace them.`,
    ...(got.stoodFor > got.onBench
      ? [`Of ${got.wanting} in which a new timetable was wanted, ${got.onBench} stand for ${standFor(got)}.`]
      : []),
  ];
}

function gotLines({ got }: Report): string[] {
  const { runs, seed, wanting, stuck, firstStuck, life } = got;
  if (runs === 0) return [];
  return [
    'How this was got',
    `  ${runs === 1 ? 'One rehearsal, seed' : `${runs} rehearsals, seeds`} ${seed}${runs === 1 ? '' : ` to ${seed + runs - 1}`}: each step's length is drawn from its range in the plan.`,
    "  The ranges are the cook's own guess until records replace them.",
    ...(life
      ? [
          `  Assumed beside them: two steps of a day go together by ${life.day}, two bakes in an oven by ${Math.round((life.day + life.oven) * 100) / 100};`,
          `  a rest is enough after ${shares(READY)} of its least, one that ends at a temperature after ${shares(life.temperature)};`,
          `  ${percent(life.forgets)} of presses are forgotten for ${formatDuration(life.forgottenFor.least)} to ${formatDuration(life.forgottenFor.most)}; answers come after 2 to 20 s.`,
        ]
      : []),
    ...(wanting > 0 ? [`  In ${wanting} a new timetable was wanted on the way. ${benchWords(got)}`] : []),
    ...(stuck > 0
      ? [`  ${stuck} came to no end and count as late; one of them has seed ${firstStuck}.`]
      : []),
    '  What made it late, who waited, latest beginnings and what was tried are of rehearsals',
    '  without new timetables. In brackets: where the true figure lies, in 95 of 100 such reports.',
  ];
}

function benchWords(got: Report['got']): string {
  const { onBench, wanting, stoodFor } = got;
  if (onBench === 0) return 'They count as they went without one.';
  const which = onBench === wanting ? 'They' : `${onBench} of them, drawn by lot,`;
  const rest = stoodFor < wanting ? '\n  The others count as they went without one.' : '';
  return `${which} were played again on the\n  real bench, where the cook takes one that keeps service${onBench === stoodFor ? '.' : `, and stand for ${standFor(got)}.`}${rest}`;
}

const standFor = ({ wanting, stoodFor }: Report['got']): string =>
  stoodFor === wanting ? 'all' : String(stoodFor);

/** `83.1 % (80.6-85.4)`. */
const withError = ({ share, low, high }: Chance): string =>
  `${percent(share)} (${figure(low)}-${figure(high)})`;

/** `70 to 100 %`. */
const shares = ({ low, high }: DurationRange): string => `${figure(low)} to ${figure(high)} %`;

/** A share as a percentage; never rounded to all or nothing where it is neither. */
const percent = (share: number, places = 1): string => `${figure(share, places)} %`;

function figure(share: number, places = 1): string {
  const value = share * 100;
  const step = 10 ** -places;
  const rounded = Math.round(value / step) * step;
  const kept = value > 0 && value < 100 ? Math.min(100 - step, Math.max(step, rounded)) : rounded;
  return String(Number(kept.toFixed(places)));
}

/** `12.8 points more (9.9 to 15.8)`. */
const points = ({ by, low, high }: Difference): string =>
  `${Number((Math.abs(by) * 100).toFixed(1))} points ${by < 0 ? 'less' : 'more'} (${Number((low * 100).toFixed(1))} to ${Number((high * 100).toFixed(1))})`;

const signed = (by: number): string =>
  `${by < 0 ? '-' : '+'}${Number((Math.abs(by) * 100).toFixed(1))} points`;

const clock = ({ timeZone }: Report, moment: EpochMs, reference: EpochMs): string =>
  clockFrom(moment, reference, timeZone);
