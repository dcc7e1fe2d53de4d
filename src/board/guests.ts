import { isServed, type BenchState, type ServiceMove } from '../bench/index.ts';
import { later, momentOf, parseClockTime, plus, type EpochMs } from '../units/index.ts';
import { clean, clockWords } from '../view/index.ts';

/*
 * The guests come earlier or later: which plans that is about, and to what moment each service would be moved. By keys and by
 * words it is the same.
 */

/** The longest that service is moved at once, in minutes: a day. */
const LONGEST = 1440;

/** Plans that have not been served, by their place. */
export const plansToServe = (state: BenchState): readonly number[] =>
  state.setup.workload.plans.flatMap((_, plan) => (isServed(state, plan) ? [] : [plan]));

/** `Gallery opening 19:30`, for a list to choose from. */
export function serviceCalled(state: BenchState, plan: number, now: EpochMs): string {
  const { plans, kitchen } = state.setup.workload;
  const at = state.timetable.service[plan];
  return `${clean(plans[plan]?.title ?? '')}${at === undefined ? '' : ` ${clockWords(at, now, kitchen.timeZone)}`}`;
}

/** Every one of the plans is served so many minutes later; earlier where they are below zero. */
export function movedBy(state: BenchState, plans: readonly number[], count: number): readonly ServiceMove[] {
  return plans.flatMap((plan) => {
    const from = state.timetable.service[plan];
    return from === undefined ? [] : [{ plan, to: plus(from, 60 * count) }];
  });
}

/**
 * Reads `20` (minutes), or `19:45` and `1945`: when the first of the plans is served, and the others are moved by as much.
 * A time of day is the one nearest to the service that was told.
 */
export function movedAs(
  state: BenchState,
  plans: readonly number[],
  way: 'earlier' | 'later',
  text: string,
  now: EpochMs,
): readonly ServiceMove[] | undefined {
  if (/^\d{1,3}$/.test(text) || text === String(LONGEST)) {
    const count = Number(text);
    return count > 0 ? movedBy(state, plans, way === 'earlier' ? -count : count) : undefined;
  }
  const time = parseClockTime(text.replace(/^(\d{1,2})(\d{2})$/, '$1:$2'));
  const services = plans.flatMap((plan) => state.timetable.service[plan] ?? []);
  if (!time.ok || services.length === 0 || time.value.date !== undefined) return undefined;
  const first = services.reduce((a, b) => (a < b ? a : b));
  const zone = state.setup.workload.kitchen.timeZone;
  const to = momentOf(time.value, later(now, plus(first, -12 * 3600)), zone);
  return movedBy(state, plans, (to - first) / 60_000);
}
