import { endOf, startOf, type Problem } from './problem.ts';

/** The greatest span of times that is handled, so that differences of differences stay within 32 bits. */
const WIDEST = 2 ** 29;

/**
 * Between which times everything may be taken to lie where nothing else says so.
 *
 * Take a schedule, and a stretch without any point in it that lies beyond all times that the problem names. Everything after the
 * stretch can be moved up until the stretch is one unit long, or some least distance across it is just kept: the order of
 * all points stays, so nothing else changes. When no stretch can be shortened any more, each is one unit long or lies under such a
 * tight distance. A smallest set of tight distances that covers the others ends at different points, so together they
 * are no longer than the sum, over all points, of the greatest least distance into it. The same holds before all named times.
 */
export function horizonOf(problem: Problem): { readonly from: number; readonly to: number } {
  const into = new Float64Array(2 * problem.activities.length);
  const lift = (point: number, weight: number): void => {
    into[point] = Math.max(into[point] ?? 0, weight);
  };
  const named: number[] = [];
  const name = (time: number | undefined): void => {
    if (time !== undefined) named.push(time);
  };
  problem.activities.forEach(({ least, release, due }, activity) => {
    lift(endOf(activity), least);
    name(release);
    name(due);
    if (release !== undefined) lift(startOf(activity), 0);
  });
  for (const { to, weight } of problem.lags) lift(to, weight);
  for (const { from, to } of problem.calendars.flatMap((calendar) => calendar.closed)) named.push(from, to);
  for (const { from, to } of problem.objective.flatMap((level) => level.overlaps ?? [])) named.push(from, to);
  for (const oven of problem.ovens) {
    for (const time of oven.ready ?? []) name(time);
    for (const demand of problem.demands) {
      lift(demand.start, oven.warmUp[demand.state] ?? 0);
      for (const row of oven.change) lift(demand.start, row[demand.state] ?? 0);
    }
  }
  const span = into.reduce((sum, weight) => sum + weight + 1, 0);
  const from = named.reduce((least, time) => Math.min(least, time), named[0] ?? 0) - span;
  const to = named.reduce((most, time) => Math.max(most, time), named[0] ?? 0) + span;
  if (to - from > WIDEST || Math.abs(from) > WIDEST || Math.abs(to) > WIDEST)
    throw new RangeError(
      `times from ${from} to ${to} are more than the solver can tell apart; use a coarser unit`,
    );
  return { from, to };
}
