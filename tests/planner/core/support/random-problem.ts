import { endOf, startOf, type Problem } from '../../../../src/planner/core/index.ts';

/** A stream of numbers that is the same for the same seed. */
export function chance(seed: number): (limit: number) => number {
  let state = (seed * 2654435761 + 97531) >>> 0;
  return (limit) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * limit);
  };
}

/** Everything lies between 0 and this. */
export const HORIZON = 6;

/** A small problem with a bit of every kind of rule; many have no schedule. */
export function randomProblem(seed: number): Problem {
  const below = chance(seed);
  const some = <T>(count: number, make: (index: number) => T): T[] =>
    Array.from({ length: count }, (_, i) => make(i));
  const n = 2 + Math.min(below(3), below(3));
  const activities = some(n, () => {
    const least = below(3);
    return {
      least,
      most: below(3) === 0 ? least + below(3) : below(6) === 0 ? Infinity : least,
      release: below(4) === 0 ? below(3) : 0,
      due: below(4) === 0 ? HORIZON - below(3) : HORIZON,
      ...(below(3) === 0 && { calendar: 0 }),
      rule: 0,
    };
  });
  const point = (): number => below(2 * n);
  const lags = some(below(3), () => {
    const from = point();
    return { from, to: (from + 1 + below(2 * n - 1)) % (2 * n), weight: below(6) - 3, rule: 0 };
  });
  const resources = some(below(3), () => ({
    capacity: 1 + below(2),
    claims: some(n, (i) => ({
      from: startOf(i),
      to: below(5) === 0 ? endOf(below(n)) : endOf(i),
      amount: below(3),
      rule: 0,
    })).filter((claim) => claim.amount > 0),
  }));
  const { ovens, demands, groups } = randomOvens(below, n);
  return {
    activities,
    lags,
    resources,
    ovens,
    demands,
    groups,
    calendars: [{ closed: [{ from: 2 + below(2), to: 4 }].filter(({ from, to }) => from < to) }],
    objective: some(1 + below(2), (i) => ({
      name: `level ${i}`,
      terms: some(1 + below(3), () => ({ point: point(), weight: below(7) - 3 })).filter(
        ({ weight }) => weight !== 0,
      ),
      ...(below(3) === 0 && {
        overlaps: some(1 + below(2), () => ({
          activity: below(n),
          from: 1 + below(3),
          to: 3 + below(4),
          weight: below(2) === 0 ? 2 : -1,
        })),
      }),
    })),
  };
}

function randomOvens(
  below: (limit: number) => number,
  n: number,
): Pick<Problem, 'ovens' | 'demands' | 'groups'> {
  if (below(3) === 0) return { ovens: [], demands: [], groups: [] };
  const alike = below(2) === 0;
  const oven = (): Problem['ovens'][number] => ({
    capacity: 1 + below(2),
    change: [
      [0, below(3)],
      [below(3), 0],
    ],
    together: [
      [true, below(3) === 0],
      [below(3) === 0, true],
    ],
    warmUp: [below(2) === 0 ? undefined : below(3), below(2) === 0 ? undefined : below(2)],
    ...(below(2) === 0 && { begin: startOf(below(n)) }),
    ...(below(3) === 0 && { finish: endOf(below(n)) }),
    ...(below(3) === 0 && { ready: [below(3), below(3)] }),
  });
  const first = oven();
  const count = 1 + below(3);
  const ovens = Array.from({ length: count }, (_, i) => (i === 0 || alike ? first : oven()));
  const demands: Problem['demands'][number][] = [];
  const groups: Problem['groups'][number][] = [];
  let activity = 0;
  while (activity < n) {
    const size = 1 + below(3);
    const mine: number[] = [];
    for (; mine.length < size && activity < n; activity += 1) {
      if (below(5) === 0) continue;
      mine.push(demands.length);
      demands.push({
        start: startOf(activity),
        end: endOf(activity),
        state: below(2),
        amount: 1,
        shut: below(2) === 0,
        alone: below(5) === 0,
        group: groups.length,
        takesOver: below(3) === 0,
        rule: 0,
      });
    }
    const all = ovens.map((_, index) => index);
    const candidates = below(2) === 0 ? all : [below(count)];
    groups.push({ demands: mine, candidates });
  }
  return { ovens, demands, groups };
}
