/** A published instance: activities 0 and n + 1 are the start and the end of the project. */
export interface Instance {
  readonly durations: readonly number[];
  /** `S_to >= S_from + lag`, start to start. */
  readonly lags: readonly { readonly from: number; readonly to: number; readonly lag: number }[];
  /** By activity, then by resource. */
  readonly demands: readonly (readonly number[])[];
  readonly capacities: readonly number[];
}

/**
 * Reads an instance of ProGen/max. The first line is `n K 0 0`; then a line for each of 0 to n + 1,
 * `id 1 count successors… [lag]…`; then one each, `id 1 duration r1 … rK`; then the K capacities.
 *
 * @throws Error that names the line when the text is something else.
 */
export function readProgenMax(text: string): Instance {
  const lines = text.split(/\r?\n/).filter((line) => line.trim() !== '');
  const numbers = (index: number): number[] => {
    const found = (lines[index] ?? '').replaceAll(/[[\]]/g, ' ').trim().split(/\s+/).map(Number);
    if (found.some((each) => !Number.isInteger(each)))
      throw new Error(`line ${index + 1}: whole numbers are expected`);
    return found;
  };
  const [n = -1, kinds = -1] = numbers(0);
  if (n < 1 || kinds < 0) throw new Error('line 1: "activities resources 0 0" is expected');
  const all = n + 2;
  const lags: { from: number; to: number; lag: number }[] = [];
  const durations: number[] = [];
  const demands: number[][] = [];
  for (let i = 0; i < all; i += 1) {
    const [id, , count = -1, ...rest] = numbers(1 + i);
    if (id !== i || count < 0 || rest.length !== 2 * count)
      throw new Error(`line ${2 + i}: "${i} 1 count successors… [lag]…" is expected`);
    for (let k = 0; k < count; k += 1) {
      const to = rest[k] ?? -1;
      if (to < 0 || to >= all) throw new Error(`line ${2 + i}: there is no activity ${to}`);
      lags.push({ from: i, to, lag: rest[count + k] ?? 0 });
    }
  }
  for (let i = 0; i < all; i += 1) {
    const [id, , duration = -1, ...rest] = numbers(1 + all + i);
    if (id !== i || duration < 0 || rest.length !== kinds)
      throw new Error(`line ${2 + all + i}: "${i} 1 duration" and ${kinds} demands are expected`);
    durations.push(duration);
    demands.push(rest);
  }
  const capacities = kinds === 0 ? [] : numbers(1 + 2 * all);
  if (capacities.length !== kinds) throw new Error(`line ${2 + 2 * all}: ${kinds} capacities are expected`);
  return { durations, lags, demands, capacities };
}

/** What the starts do wrong, reckoned without the solver; empty: nothing. */
export function wrongStarts(instance: Instance, starts: readonly number[]): string[] {
  const { durations, lags, demands, capacities } = instance;
  const found: string[] = [];
  if (starts.length !== durations.length || starts[0] !== 0)
    return ['there must be a start for each, and 0 first'];
  const at = (activity: number): number => starts[activity] ?? Number.NaN;
  const end = at(starts.length - 1);
  durations.forEach((duration, i) => {
    if (!(at(i) >= 0) || at(i) + duration > end) found.push(`${i} does not lie within the project`);
  });
  for (const { from, to, lag } of lags)
    if (at(to) < at(from) + lag) found.push(`${from} to ${to}: the lag is not kept`);
  capacities.forEach((capacity, kind) => {
    for (const moment of new Set(starts)) {
      let taken = 0;
      durations.forEach((duration, i) => {
        if (at(i) <= moment && moment < at(i) + duration) taken += demands[i]?.[kind] ?? 0;
      });
      if (taken > capacity) found.push(`resource ${kind} at ${moment}: ${taken} of ${capacity}`);
    }
  });
  return found;
}
