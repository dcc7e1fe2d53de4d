import type { Step, StepId } from '../../plan/index.ts';
import {
  earlier,
  later,
  plus,
  secondsBetween,
  seconds,
  type EpochMs,
  type Seconds,
} from '../../units/index.ts';
import type { Rundown } from './rundown.ts';

/** A step of the derived workload that is not over when the demonstration goes on air, and what it follows. */
export interface AirStep {
  readonly step: Step;
  /** The index of the showing that it is; undefined off view. */
  readonly showing: number | undefined;
  /** Indexes of steps that must be over before it begins, and how long before. */
  readonly follows: readonly { readonly index: number; readonly lag: Seconds }[];
  /** How long after going on air it begins at the earliest, where nothing that it follows is on air itself. */
  readonly notBefore: Seconds;
  /** It was begun before, so that `usual` is what is left of it. */
  readonly isBegun: boolean;
  /** As planned: a rest, the least it may be. */
  readonly usual: Seconds;
}

/**
 * What happens in the time on air as a network of steps, each after those it follows. A step follows the one before it in its
 * component, what it needs, what the same pair of hands does before it, what is in its oven before it, and, as a showing, the showing before it.
 */
export function airSteps({ begins, showings, jobs, workload, timetable }: Rundown): AirStep[] {
  const steps = new Map<StepId, { step: Step; before: Step | undefined }>(
    workload.components.flatMap((component) =>
      component.steps.map((step, index) => [step.id, { step, before: component.steps[index - 1] }] as const),
    ),
  );
  const showingOf = new Map(showings.map(({ step }, index) => [step, index]));
  // What ends when it begins comes first where something of no length begins at the same moment.
  const planned = timetable.steps.filter(({ end }) => end > begins).toSorted((a, b) => a.start - b.start);
  const placeOf = new Map(planned.map(({ step }, index) => [step, index]));
  const earlierJob = new Map(
    (['presenter', 'helper'] as const).flatMap((who) => {
      const own = jobs.filter((job) => job.who === who).toSorted((a, b) => a.start - b.start);
      return own.map((job, index) => [job.step, own[index - 1]?.step] as const);
    }),
  );
  const ovenBefore = (index: number): StepId | undefined => {
    const load = planned[index];
    const loads = planned.filter(
      ({ oven, end }) => load && oven !== undefined && oven === load.oven && end <= load.start,
    );
    return loads.toSorted((a, b) => a.end - b.end).at(-1)?.step;
  };
  return planned.flatMap(({ step: id, start, end }, index): AirStep[] => {
    const found = steps.get(id);
    if (!found) return [];
    const { step, before } = found;
    const showing = showingOf.get(id);
    const previous = showing === undefined ? undefined : showings[showing - 1]?.step;
    const known = [...step.needs, earlierJob.get(id), ovenBefore(index), previous];
    const follows = [
      ...(before ? [{ id: before.id, lag: step.after }] : []),
      ...known.flatMap((each) => (each === undefined ? [] : [{ id: each, lag: seconds(0) }])),
    ].flatMap(({ id: other, lag }) => {
      const place = placeOf.get(other);
      return place === undefined || place >= index ? [] : [{ index: place, lag }];
    });
    const notBefore = follows.length > 0 ? 0 : Math.max(0, secondsBetween(begins, start));
    const isBegun = start < begins;
    return [
      {
        step,
        showing,
        follows,
        isBegun,
        notBefore: seconds(notBefore),
        usual: usualOf(step, start, end, begins),
      },
    ];
  });
}

/** What is left of it on air, as planned. */
function usualOf({ length }: Step, start: EpochMs, end: EpochMs, begins: EpochMs): Seconds {
  const enough = length.kind === 'rest' ? plus(start, length.atLeast) : end;
  return seconds(Math.max(0, secondsBetween(later(start, begins), earlier(enough, end))));
}

/** When each step begins and ends if each takes so long: as soon as what it follows is over. */
export function playAir(
  air: readonly AirStep[],
  begun: EpochMs,
  lengthOf: (index: number, start: EpochMs) => Seconds,
): { readonly start: EpochMs; readonly end: EpochMs }[] {
  const played: { start: EpochMs; end: EpochMs }[] = [];
  for (const [index, { follows, notBefore }] of air.entries()) {
    let start = plus(begun, notBefore);
    for (const { index: other, lag } of follows) start = later(start, plus(played[other]?.end ?? start, lag));
    played.push({ start, end: plus(start, lengthOf(index, start)) });
  }
  return played;
}
