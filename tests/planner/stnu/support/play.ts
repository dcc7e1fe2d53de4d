import { Executor, type DispatchNetwork, type UncertainNetwork } from '../../../../src/planner/stnu/index.ts';

/** When a point of one's own is done once it is open: as early or as late as it may, or any time in between. */
export type Habit = 'early' | 'late' | 'any';
/** How long nature takes: always the least, always the most, one of the two, or anything. */
export type Nature = 'short' | 'long' | 'extreme' | 'any';

/**
 * Executes a network second by second, by the executor's word alone. The result: the times of all points, and what went wrong (nothing was
 * open in time, or a link of the network given is broken).
 */
export function play(
  network: UncertainNetwork,
  dispatch: DispatchNetwork,
  below: (limit: number) => number,
  habit: Habit,
  nature: Nature,
): { readonly times: readonly number[]; readonly wrong: readonly string[] } {
  const executor = new Executor(dispatch);
  const lengths = network.contingent.map(({ low, high }) => {
    if (nature === 'short') return low;
    if (nature === 'long') return high;
    return nature === 'any' ? low + below(high - low + 1) : below(2) === 0 ? low : high;
  });
  const horizon = network.links.reduce((sum, { weight }) => sum + Math.abs(weight), 0) + 10_000;
  const wrong: string[] = [];
  let state = executor.begin();
  for (let now = 0; now <= horizon && state.times.includes(undefined); now += 1) {
    network.contingent.forEach(({ start, end }, index) => {
      const begun = state.times[start];
      if (begun !== undefined && begun + (lengths[index] ?? 0) === now)
        state = executor.observe(state, end, now);
    });
    for (let acted = true; acted;) {
      acted = false;
      for (let point = 1; point < network.points; point += 1) {
        const standing = executor.standing(state, point);
        if (standing.kind !== 'open') continue;
        if (now > standing.notAfter) wrong.push(`${point} was to be done by ${standing.notAfter}`);
        const mayWait = now < standing.notAfter && standing.notAfter < Infinity;
        if (now < standing.notBefore) {
          if (!mayWait && standing.notAfter < Infinity)
            wrong.push(`${point} must not wait at ${now} and must not be done before ${standing.notBefore}`);
          continue;
        }
        if (mayWait && (habit === 'late' || (habit === 'any' && below(3) > 0))) continue;
        state = executor.observe(state, point, now);
        acted = true;
      }
    }
    if (wrong.length > 0) break;
  }
  const times = state.times.map((time) => time ?? Number.NaN);
  if (state.times.includes(undefined)) wrong.push('not everything was done');
  else
    network.links.forEach(({ from, to, weight }, index) => {
      if ((times[to] ?? 0) - (times[from] ?? 0) > weight) wrong.push(`link ${index} is broken`);
    });
  return { times, wrong };
}
