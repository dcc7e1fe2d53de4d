import type { ComponentId, Step, StepId } from '../../plan/index.ts';
import { airSteps, paceOf, type AirStep, type Pace, type Rundown, type Swap } from '../../planner/index.ts';
import { plus, seconds, secondsBetween, type EpochMs, type Seconds } from '../../units/index.ts';

/** A demonstration made ready to be played many times. */
export interface Show {
  readonly rundown: Rundown;
  readonly pace: Pace;
  readonly air: readonly AirStep[];
  /** Where each showing, and each step, has its place in `air`. */
  readonly airOf: readonly (number | undefined)[];
  readonly placeOf: ReadonlyMap<StepId, number>;
  /** The place of each component in the workload. */
  readonly orderOf: ReadonlyMap<ComponentId, number>;
  /** Of each step on air: the last showing that it can only come after; -1 for none. */
  readonly comesAfter: readonly number[];
  /** What each step on air is held to: the longest wait after the step before it in its component. */
  readonly limits: readonly {
    readonly step: StepId;
    readonly index: number;
    readonly after: number;
    readonly within: Seconds;
  }[];
  /** Of each swap: the place on air of what takes it, and of the last step that makes it, where they are on air. */
  readonly taken: readonly Taken[];
  /** By what takes it: the place of a step that is cut short, for a copy is shown before it is over. */
  readonly cutShort: ReadonlyMap<StepId, number>;
}

interface Taken {
  readonly by: number | undefined;
  readonly last: number | undefined;
}

export function showOf(rundown: Rundown): Show {
  const air = airSteps(rundown);
  const placeOf = new Map(air.map(({ step }, index) => [step.id, index]));
  const taken = rundown.swaps.map((swap): Taken => {
    const last = lastAhead(rundown, swap);
    return { by: placeOf.get(swap.for), last: last === undefined ? undefined : placeOf.get(last) };
  });
  const comesAfter: number[] = [];
  for (const { follows } of air)
    comesAfter.push(
      Math.max(-1, ...follows.map(({ index }) => air[index]?.showing ?? comesAfter[index] ?? -1)),
    );
  return {
    rundown,
    pace: paceOf(rundown),
    air,
    airOf: rundown.showings.map(({ step }) => placeOf.get(step)),
    placeOf,
    orderOf: new Map(rundown.workload.components.map(({ id }, index) => [id, index])),
    comesAfter,
    limits: limitsOf(rundown, air, placeOf),
    taken,
    cutShort: new Map(
      rundown.swaps.flatMap((swap, index) => {
        const last = taken[index]?.last;
        return swap.state.kind === 'inside' && last !== undefined ? [[swap.for, last] as const] : [];
      }),
    ),
  };
}

function limitsOf(
  rundown: Rundown,
  air: readonly AirStep[],
  placeOf: ReadonlyMap<StepId, number>,
): Show['limits'] {
  const before = new Map(
    rundown.workload.components.flatMap(({ steps }) =>
      steps.map((step, place) => [step.id, steps[place - 1]?.id] as const),
    ),
  );
  const swapped = new Set(rundown.swaps.map((swap) => swap.for));
  return air.flatMap(({ step, showing }, index) => {
    // Of a swap its window says more, and what is shown to its end has only gone on until then.
    if (swapped.has(step.id) || isEnd(rundown, showing)) return [];
    const previous = before.get(step.id);
    const after = previous === undefined ? undefined : placeOf.get(previous);
    const { within } = step;
    if (within === undefined || after === undefined) return [];
    // A rest is played with the least it may be, and may go on until it has been as long as it may.
    const longer = restsLonger(air[after]?.step);
    return longer === Infinity ? [] : [{ step: step.id, index, after, within: seconds(within + longer) }];
  });
}

function restsLonger(step: Step | undefined): number {
  if (step?.length.kind !== 'rest') return 0;
  return (step.length.atMost ?? Infinity) - step.length.atLeast;
}

/** Whether a showing is the end of a step that went on until it. */
function isEnd({ showings }: Rundown, index: number | undefined): boolean {
  const shows = index === undefined ? undefined : showings[index]?.shows;
  return shows?.kind === 'step' && shows.part === 'last';
}

/** The last of the work ahead for a swap itself. */
function lastAhead({ workload }: Rundown, { made, for: taker }: Swap): StepId | undefined {
  const ids = workload.components.find(({ id }) => id === made[0])?.steps.map(({ id }) => id) ?? [];
  const end = ids.indexOf(taker);
  return (end < 0 ? ids : ids.slice(0, end)).at(-1);
}

/**
 * How much later (less than nothing: earlier) than planned a swap is made, by when the last step that makes it is over; a rest
 * counts from its beginning, and that is as planned.
 */
export function madeLater(
  { air, taken, rundown }: Show,
  index: number,
  endOf: (place: number) => EpochMs | undefined,
): Seconds | undefined {
  const last = taken[index]?.last;
  const step = last === undefined ? undefined : air[last]?.step;
  if (last === undefined || !step || step.length.kind === 'rest') return undefined;
  const planned = rundown.timetable.steps.find((each) => each.step === step.id)?.end;
  const end = endOf(last);
  return end === undefined || planned === undefined ? undefined : secondsBetween(planned, end);
}

/** Whether a swap was taken in its window. One that gets ready on air has its window from when it is, and is waited for. */
export function rightness(
  show: Show,
  played: readonly { readonly start: EpochMs; readonly end: EpochMs }[],
  swap: Swap,
  index: number,
): 'right' | 'early' | 'late' {
  const by = show.taken[index]?.by;
  const start = by === undefined ? undefined : played[by]?.start;
  if (start === undefined) return 'right';
  const later = madeLater(show, index, (place) => played[place]?.end);
  if (later === undefined && start < swap.usableFrom) return 'early';
  return swap.useBy !== undefined && start > plus(swap.useBy, Math.max(0, later ?? 0)) ? 'late' : 'right';
}
