import { preferenceOrder, type Preference, type Step, type Workload } from '../plan/index.ts';
import { endOf, startOf, type Level, type Point } from './core/index.ts';
import { lengthBounds, type Drafting, type Extras } from './drafting.ts';
import { usersOf } from './extract-lags.ts';

/** A stretch of time in whole seconds. */
export interface Span {
  readonly from: number;
  readonly to: number;
}

/** What the plans prefer: the first that says anything speaks for all. */
export const preferenceOf = (workload: Workload): readonly Preference[] =>
  workload.plans.find(({ prefer }) => prefer !== undefined)?.prefer ?? [];

export type LevelName = 'fresh' | 'night' | 'late' | 'close' | 'oven';

/** What one timetable may have over another, the most important first, to the level named or to the last. */
export function ladder(
  drafting: Drafting,
  extras: Extras,
  preferred: readonly Preference[],
  nights: readonly Span[],
  upTo?: LevelName,
): Level[] {
  const all = preferenceOrder(preferred).flatMap((preference) => {
    switch (preference) {
      case 'fresh':
        return [fresh(drafting)];
      case 'day':
        return [...night(drafting, nights), late(extras), close(drafting)];
      case 'oven':
        return [hot(drafting, extras)];
    }
  });
  const last = all.findIndex(({ name }) => name === upTo);
  return last < 0 ? all : all.slice(0, last + 1);
}

/** What waits no longer than this is dying while it waits. */
const DYING = 12 * 3600;
/** A wait that uses up its whole limit costs about this much, whether the limit is minutes or hours. */
const WHOLE_LIMIT = 36_000;

/** What a second of waiting costs under a limit in seconds: the share of the limit that it uses up. 0: nothing is dying. */
export const costOfWaiting = (limit: number): number =>
  limit > 0 && limit <= DYING ? Math.max(1, Math.round(WHOLE_LIMIT / limit)) : 0;

function fresh(drafting: Drafting): Level {
  const terms: { point: Point; weight: number }[] = [];
  const wait = (from: Point, to: Point, limit: number): void => {
    const weight = costOfWaiting(limit);
    if (weight === 0) return;
    terms.push({ point: to, weight }, { point: from, weight: -weight });
  };
  for (const component of drafting.workload.components) {
    component.steps.forEach((step, place) => {
      const before = component.steps[place - 1];
      if (before && step.within !== undefined)
        wait(drafting.endOf(before.id), drafting.startOf(step.id), step.within);
    });
    const last = component.steps.at(-1);
    if (!last || component.keeps === undefined) continue;
    const users = usersOf(drafting, last);
    for (const user of users) wait(drafting.endOf(last.id), drafting.endOf(user.id), component.keeps);
    const served = drafting.served[component.plan];
    if (users.length === 0 && served !== undefined) wait(drafting.endOf(last.id), served, component.keeps);
  }
  return { name: 'fresh', terms };
}

/** Whether a step asks for hands at all. */
export const wantsHands = (step: Step): boolean => step.hands !== 'free' && lengthBounds(step).most > 0;

function night(drafting: Drafting, nights: readonly Span[]): Level[] {
  const { kitchen } = drafting.workload;
  if (kitchen.nights === 'allowed' || kitchen.hours) return [];
  const overlaps = drafting.steps.filter(wantsHands).flatMap((step) =>
    nights.map(({ from, to }) => ({
      activity: drafting.placeOf(step.id),
      from,
      to,
      weight: lengthBounds(step).least,
    })),
  );
  return [{ name: 'night', terms: [], overlaps }];
}

const late = ({ first }: Extras): Level => ({
  name: 'late',
  terms: [{ point: startOf(first), weight: -1 }],
});

const close = ({ steps, startOf: start }: Drafting): Level => ({
  name: 'close',
  terms: steps.map((step) => ({ point: start(step.id), weight: -1 })),
});

function hot({ workload }: Drafting, extras: Extras): Level {
  const terms = workload.kitchen.ovens.flatMap((_, oven) => [
    { point: endOf(extras.off(oven)), weight: 1 },
    { point: startOf(extras.on(oven)), weight: -1 },
  ]);
  return { name: 'oven', terms };
}
