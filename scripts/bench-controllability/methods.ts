import { resourceOrder, solve, startOf, type Problem, type Schedule } from '../../src/planner/core/index.ts';
import {
  decide,
  Executor,
  type ContingentLink,
  type OrdinaryLink,
  type UncertainNetwork,
} from '../../src/planner/stnu/index.ts';
import { problemOf } from '../bench-planner/problem-of.ts';
import { wrongStarts, type Instance } from '../bench-planner/progen-max.ts';
import { quantile, type Range } from './setting.ts';

/** Budgets of counted work: for a schedule made beforehand, and for each one made on the way. */
const BEFOREHAND = 400_000;
const ON_THE_WAY = 20_000;

export interface Plan {
  readonly problem: Problem;
  readonly schedule: Schedule;
}

/** A schedule for lengths that are not exceeded with so much chance, or what the solver says instead. */
export function planned(
  instance: Instance,
  ranges: readonly Range[],
  chance: number,
): Plan | 'infeasible' | 'unknown' {
  const durations = ranges.map((range) => quantile(range, chance));
  const problem = problemOf({ ...instance, durations });
  const result = solve(problem, { budget: { work: BEFOREHAND } });
  return 'schedule' in result ? { problem, schedule: result.schedule } : result.status;
}

/** When the project is over, or undefined where a lag or a resource was broken on the way. */
export type Outcome = number | undefined;

function outcome(instance: Instance, starts: readonly number[], durations: readonly number[]): Outcome {
  const over = Math.max(...starts.map((start, i) => start + (durations[i] ?? 0)));
  const all = starts.with(-1, Math.max(over, starts.at(-1) ?? 0));
  return wrongStarts({ ...instance, durations }, all).length === 0 ? all.at(-1) : undefined;
}

/** Everything starts when the schedule says, whatever happens. */
export function runFixed(instance: Instance, { schedule }: Plan, durations: readonly number[]): Outcome {
  const starts = durations.map((_, i) => schedule.times[startOf(i)] ?? 0);
  return outcome(instance, starts, durations);
}

/**
 * Everything starts when the schedule says; whenever something ends earlier than expected, or does not end when expected, there is a new schedule
 * from then on, with what has started as it is. Where there is none (or none is found), the old one goes on.
 */
export function runReactive(
  instance: Instance,
  ranges: readonly Range[],
  chance: number,
  { schedule }: Plan,
  durations: readonly number[],
): Outcome {
  const expected = ranges.map((range) => quantile(range, chance));
  const starts: (number | undefined)[] = durations.map(() => undefined);
  let times = schedule.times;
  for (let now = 0; starts.includes(undefined); now += 1) {
    let surprised = false;
    starts.forEach((start, i) => {
      if (start === undefined) return;
      const actual = durations[i] ?? 0;
      const before = expected[i] ?? 0;
      if (now >= start + actual) expected[i] = actual;
      else if (now >= start + before) expected[i] = now - start + 1;
      surprised ||= expected[i] !== before;
    });
    if (surprised) {
      times = solveFrom(instance, expected, starts, now, times) ?? times;
    }
    durations.forEach((_, i) => {
      if (starts[i] === undefined && times[startOf(i)] === now) starts[i] = now;
    });
  }
  return outcome(
    instance,
    starts.map((start) => start ?? 0),
    durations,
  );
}

function solveFrom(
  instance: Instance,
  expected: readonly number[],
  starts: readonly (number | undefined)[],
  now: number,
  times: Int32Array,
): Int32Array | undefined {
  const problem = problemOf({ ...instance, durations: expected });
  const activities = problem.activities.map((activity, i) => {
    const start = starts[i];
    if (start === undefined) return { ...activity, release: now };
    return { ...activity, release: start, due: start + (expected[i] ?? 0) };
  });
  const result = solve({ ...problem, activities }, { budget: { work: ON_THE_WAY }, warmStart: { times } });
  return 'schedule' in result ? result.schedule.times : undefined;
}

/** The network of a schedule: its resource order, the instance's lags, and lengths that nature decides. Point 0 is the start of the project. */
export function networkOf(
  instance: Instance,
  ranges: readonly Range[],
  { problem, schedule }: Plan,
): UncertainNetwork {
  const contingent: ContingentLink[] = [];
  const links: OrdinaryLink[] = [];
  const after = (from: number, to: number, weight: number): void => {
    links.push({ from: to, to: from, weight: -weight });
  };
  const last = 2 * (ranges.length - 1);
  ranges.forEach(({ low, high }, i) => {
    const [start, end] = [2 * i, 2 * i + 1];
    if (high > 0) contingent.push({ start, end, low, high });
    else links.push({ from: start, to: end, weight: 0 }, { from: end, to: start, weight: 0 });
    if (start !== last) after(end, last, 0);
  });
  for (const { from, to, lag } of instance.lags) after(2 * from, 2 * to, lag);
  for (const { from, to, weight } of resourceOrder(problem, schedule)) after(from, to, weight);
  return { points: 2 * ranges.length, links, contingent };
}

/** The executor of a schedule's network, or undefined where it is not controllable. */
export function dispatcher(instance: Instance, ranges: readonly Range[], given: Plan): Executor | undefined {
  const answer = decide(networkOf(instance, ranges, given));
  return answer.kind === 'controllable' ? new Executor(answer.dispatch) : undefined;
}

/** Everything starts as early as the executor lets it. */
export function runDispatch(instance: Instance, executor: Executor, durations: readonly number[]): Outcome {
  const { contingent, points } = executor.dispatch;
  let state = executor.begin();
  for (let now = 0; Number.isFinite(now);) {
    for (const { start, end } of contingent) {
      const begun = state.times[start];
      if (
        state.times[end] === undefined &&
        begun !== undefined &&
        begun + (durations[start >> 1] ?? 0) === now
      )
        state = executor.observe(state, end, now);
    }
    let next = Infinity;
    for (let acted = true; acted;) {
      acted = false;
      next = Infinity;
      for (let point = 0; point < points; point += 1) {
        const standing = executor.standing(state, point);
        if (standing.kind !== 'open') continue;
        if (standing.notBefore > now) next = Math.min(next, standing.notBefore);
        else {
          state = executor.observe(state, point, now);
          acted = true;
        }
      }
    }
    for (const { start, end } of contingent) {
      const begun = state.times[start];
      if (state.times[end] === undefined && begun !== undefined)
        next = Math.min(next, begun + (durations[start >> 1] ?? 0));
    }
    now = next;
  }
  if (state.times.includes(undefined)) return undefined;
  return outcome(
    instance,
    durations.map((_, i) => state.times[startOf(i)] ?? 0),
    durations,
  );
}
