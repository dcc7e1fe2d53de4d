import type { StepId } from '../../plan/index.ts';
import type { Rundown } from '../../planner/index.ts';
import {
  countdown,
  formatDuration,
  roughly,
  seconds,
  secondsBetween,
  type DurationRange,
  type EpochMs,
} from '../../units/index.ts';
import type { Chance } from '../report/chances.ts';
import { USUAL_PRESENTER, type Presenter } from './presenter.ts';
import type { CutPoint, Ending, StageReport } from './report.ts';
import type { Quantile } from './tally.ts';

/** How a demonstration goes, for people: what matters first, then what to cut, what is in danger, and how it was got. */
export function stageReportText(
  rundown: Rundown,
  report: StageReport,
  presenter: Presenter = USUAL_PRESENTER,
): string {
  if (report.runs === 0) return 'No evening had come to its end.';
  const parts = [
    endLines(rundown, report),
    cutLines(rundown, report),
    silenceLines(rundown, report),
    swapLines(rundown, report),
    beforeLines(rundown, report),
    gotLines(report, presenter),
  ];
  return parts
    .filter((lines) => lines.length > 0)
    .map((lines) => lines.join('\n'))
    .join('\n\n');
}

function endLines({ title, lasts, within }: Rundown, { asPlanned, withCuts, runs }: StageReport): string[] {
  const [full, allowed] = [countdown(lasts), formatDuration(within)];
  return [
    `${title}: ${formatDuration(lasts)} on air, rehearsed ${runs === 1 ? 'once' : `${runs} times`}`,
    `With 95 % it ends within ${length95(withCuts)} of ${full}, if what the board offers is cut and stretched.`,
    `  Within ${allowed}: in ${chance(withCuts.inTime)}. ${offWords(withCuts)}`,
    `As planned, with nothing cut, with 95 % within ${length95(asPlanned)} of ${full}.`,
    `  Within ${allowed}: in ${chance(asPlanned.inTime)}. ${offWords(asPlanned)}`,
  ];
}

const length95 = ({ off95 }: Ending): string => `${span(off95.value)}${error(off95)}`;

/** Where a figure is uncertain by over a second, the ends between which it lies. */
function error({ low, high }: Quantile, words = span): string {
  if (high - low <= 2) return '';
  if (high === Infinity) return low === -Infinity ? ' (too few to tell)' : ` (${words(low)} or more)`;
  return low === -Infinity ? ` (${words(high)} or less)` : ` (${words(low)} to ${words(high)})`;
}

const span = (length: number): string => roughly(seconds(Math.abs(length)));

const offWords = ({ early, usual, late }: Ending): string =>
  `Eight of ten end from ${off(early.value)} to ${off(late.value)}, half of them by ${off(usual.value)}.`;

const off = (length: number): string =>
  Math.abs(length) < 1 ? 'on time' : `${span(length)} ${length > 0 ? 'late' : 'early'}`;

/** `58 % (55-61 %)`; what is not quite all, or not quite nothing, is not rounded to it. */
function chance({ share, low, high }: Chance): string {
  const percent = Math.round(share * 100);
  const figure =
    percent === 100 && share < 1 ? 'over 99' : percent === 0 && share > 0 ? 'under 1' : String(percent);
  return `${figure} % (${Math.round(low * 100)}-${Math.round(high * 100)} %)`;
}

const onAir = ({ begins }: Rundown, moment: EpochMs): string => countdown(secondsBetween(begins, moment));

function cutLines(rundown: Rundown, { cutPoints }: StageReport): string[] {
  if (cutPoints.length === 0) return ['Nothing runs over by more than a few seconds.'];
  return [
    'If it runs over, by what it does in one of twenty evenings',
    ...cutPoints.flatMap((point) => [
      `  ${startOf(rundown, point).padStart(5)}  ${point.action}, ${formatDuration(point.over)}`,
      ...(point.cuts.length === 0
        ? ['           nothing after it can be cut']
        : point.cuts.map(
            (cut, place) =>
              `         ${place === 0 ? 'cut' : ' or'} ${onAir(rundown, cut.start)} ${cut.action}: to ${formatDuration(cut.to)}${enough(cut, point)}`,
          )),
    ]),
  ];
}

const startOf = (rundown: Rundown, { showing }: CutPoint): string => {
  const found = rundown.showings.find(({ step }) => step === showing);
  return found ? onAir(rundown, found.start) : '';
};

const enough = ({ gives }: CutPoint['cuts'][number], { over }: CutPoint): string =>
  gives >= over ? '' : `, which gives ${formatDuration(gives)}`;

function silenceLines(rundown: Rundown, { showings }: StageReport): string[] {
  const silent = showings.filter(({ silence }) => silence.share > 0.01);
  if (silent.length === 0) return [];
  return [
    'Where something off view is waited for',
    ...silent.map(
      ({ start, action, silence, silence95 }) =>
        `  ${onAir(rundown, start).padStart(5)}  ${action}: in ${chance(silence)}, then up to ${span(silence95)}`,
    ),
  ];
}

/** `shells, bake low` of each step. */
const namesIn = ({ workload }: Rundown): ReadonlyMap<StepId, string> =>
  new Map(
    workload.components.flatMap(({ name, steps }) =>
      steps.map((step) => [step.id, `${name}, ${step.name}`] as const),
    ),
  );

/** What was done last is told where it was so in a tenth of the evenings that were late. */
const OFTEN_LAST = 0.1;

function beforeLines(rundown: Rundown, { before }: StageReport): string[] {
  if (!before) return [];
  const { ready, late95, last, runs } = before;
  const names = namesIn(rundown);
  const often = last.filter(({ share }) => share >= OFTEN_LAST).slice(0, 3);
  const end = !Number.isFinite(late95.value)
    ? 'with 95 % it is never done'
    : `with 95 % it ${late95.value > 0 ? `is at most ${span(late95.value)} late` : `has ${span(late95.value)} in hand`}${error(late95, late95.value > 0 && late95.low > 0 ? span : lateWords)}`;
  return [
    `The work before is all done in time in ${chance(ready)}; ${end}, unless new timetables help.`,
    ...(ready.share < 1 && often.length > 0
      ? [
          `  Where it is not: ${often.map(({ step, share }) => `${names.get(step) ?? step} is late${often.length === 1 && share === 1 ? '' : ` in ${Math.round(share * 100)} % of those`}`).join('; ')}.`,
        ]
      : []),
    `  (${runs === 1 ? 'rehearsed once' : `rehearsed ${runs} times`}; above, all of it is taken to be done)`,
  ];
}

const lateWords = (by: number): string => `${span(by)} ${by > 0 ? 'late' : 'in hand'}`;

function swapLines(rundown: Rundown, { swaps, broken }: StageReport): string[] {
  const nameOf = namesIn(rundown);
  return [
    ...(swaps.length + broken.length > 0 ? ['In danger'] : ['No swap is wanted too early or too late.']),
    ...swaps.flatMap(({ id, title, early, late }) => [
      ...(late.share > 0 ? [`  swap ${id}, ${title}: too old in ${chance(late)}`] : []),
      ...(early.share > 0 ? [`  swap ${id}, ${title}: not ready in ${chance(early)}`] : []),
    ]),
    ...broken.map(
      ({ step, chance: often }) => `  ${nameOf.get(step) ?? step}: waits too long in ${chance(often)}`,
    ),
  ];
}

function gotLines({ runs, seed }: StageReport, { keeps, turns, behind, life }: Presenter): string[] {
  const percent = (share: number): string => `${Math.round(share * 100)}`;
  const shares = ({ low, usual, high }: DurationRange): string =>
    `${percent(low)} to ${percent(high)} % (mostly ${percent(usual)} %)`;
  const { least, most } = life.forgottenFor;
  return [
    `How this was got: ${runs === 1 ? `one evening, seed ${seed}` : `${runs} evenings, seeds ${seed} to ${seed + runs - 1}`}. In brackets: where the true figure lies with 95 %.`,
    'Lengths that nature decides are drawn from the ranges of the plan, which are your own guess until records replace them.',
    `Guesses, too: two steps of an evening go together by ${life.day}, two bakes in an oven by ${Math.round((life.day + life.oven) * 100) / 100}; a presenter`,
    `takes ${shares(keeps)} of what was meant, and ${turns.least} to ${turns.most} s to turn to the next thing;`,
    `off view somebody is at it after ${behind.soonest} to ${behind.latest} s, and ${percent(life.forgets)} % of presses are forgotten for ${formatDuration(least)} to ${formatDuration(most)}.`,
  ];
}
