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
  /** Indexes of steps that must be over before it begins, and how long before; `isNeed`: not only for a hand or an oven. */
  readonly follows: readonly { readonly index: number; readonly lag: Seconds; readonly isNeed: boolean }[];
  /** When it is planned to begin, after going on air; before that where it is less than nothing: then `usual` is what is left of it. */
  readonly starts: Seconds;
  /** How long after going on air it begins at the earliest: when it is planned, where it is planned to wait, or nothing that it follows is on air. */
  readonly notBefore: Seconds;
  /** As planned: a rest, the least it may be. */
  readonly usual: Seconds;
}

/** A planned wait shorter than this is none: what comes next is done at once, also when what it follows ended early; s. */
export const AT_ONCE_S = 60;

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
  const endOf = new Map(timetable.steps.map(({ step, end }) => [step, end]));
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
    const needed = [
      ...(before ? [{ id: before.id, lag: step.after }] : []),
      ...step.needs.map((need) => ({ id: need, lag: seconds(0) })),
    ];
    const others = [earlierJob.get(id), ovenBefore(index), previous];
    const follows = [
      ...needed.map((each) => ({ ...each, isNeed: true })),
      ...others.flatMap((each) => (each === undefined ? [] : [{ id: each, lag: seconds(0), isNeed: false }])),
    ].flatMap(({ id: other, ...rest }) => {
      const place = placeOf.get(other);
      return place === undefined || place >= index ? [] : [{ index: place, ...rest }];
    });
    const possible = needed.map(({ id: other, lag }) => plus(endOf.get(other) ?? start, lag));
    const isAtOnce = possible.length > 0 && secondsBetween(possible.reduce(later), start) <= AT_ONCE_S;
    const starts = secondsBetween(begins, start);
    const waits = showing === undefined && !isAtOnce;
    return [
      {
        step,
        showing,
        follows,
        starts,
        notBefore: seconds(waits ? Math.max(0, starts) : 0),
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
