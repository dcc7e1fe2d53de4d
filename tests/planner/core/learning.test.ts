import { afterEach, expect, test, vi } from 'vitest';
import { Analysis } from '../../../src/planner/core/analysis.ts';
import { compile } from '../../../src/planner/core/compile.ts';
import { emit, type Emitted } from '../../../src/planner/core/emit.ts';
import { endOf, solve, startOf, type Problem } from '../../../src/planner/core/index.ts';
import { chance } from './support/random-problem.ts';

afterEach(() => vi.restoreAllMocks());

/** Jobs on two resources, with lags both ways; everything within a window that is a bit too narrow for comfort. */
function jobs(seed: number): Problem {
  const below = chance(seed);
  const n = 9;
  const activities = Array.from({ length: n }, () => {
    const length = 1 + below(6);
    return { least: length, most: length, release: 0, due: 34, rule: 0 };
  });
  const lags = Array.from({ length: 5 }, () => {
    const from = below(n);
    const to = (from + 1 + below(n - 1)) % n;
    return {
      from: startOf(from),
      to: startOf(to),
      weight: below(3) === 0 ? -9 - below(9) : below(6),
      rule: 0,
    };
  });
  const claims = (most: number): Problem['resources'][number]['claims'] =>
    activities.flatMap((_, i) => {
      const amount = below(most + 1);
      return amount > 0 ? [{ from: startOf(i), to: endOf(i), amount, rule: 0 }] : [];
    });
  return {
    activities,
    lags,
    resources: [
      { capacity: 1, claims: claims(1) },
      { capacity: 3, claims: claims(2) },
    ],
    ovens: [],
    demands: [],
    groups: [],
    calendars: [],
    objective: [
      { name: 'sum', terms: activities.map((_, i) => ({ point: endOf(i), weight: 1 + below(3) })) },
    ],
  };
}

/** The value of each variable in a schedule: times, differences, and totals as small as they can be. */
function valuesOf(emitted: Emitted, times: Int32Array): number[] {
  const { engine, views } = emitted;
  const values: number[] = [];
  views.forEach(({ variable, offset }, point) => (values[variable] = (times[point] ?? 0) - offset));
  for (let d = 0; d < engine.differences.count; d += 1) {
    const variable = engine.differences.variableAt(d);
    const [a, b] = engine.differences.partsOf(variable) ?? [0, 0];
    values[variable] = (values[b] ?? 0) - (values[a] ?? 0);
  }
  return values;
}

test('what is learned from failures holds in schedules that are known to be right', () => {
  let clauses = 0;
  for (let seed = 1; seed <= 60; seed += 1) {
    const problem = jobs(seed);
    const known = solve(problem, { budget: { work: 5_000_000 } });
    const emitted = emit(problem, compile(problem));
    if (!('schedule' in known) || !emitted) continue;
    const values = valuesOf(emitted, known.schedule.times);
    const [goal] = emitted.goals;
    if (goal) values[goal.side >> 1] = ((known.levels[0]?.value ?? 0) - goal.constant) / goal.scale;
    const analyse = Reflect.get(Analysis.prototype, 'analyse') as (this: Analysis) => boolean;
    const spy = vi.spyOn(Analysis.prototype, 'analyse').mockImplementation(function (this: Analysis) {
      const learned = analyse.call(this);
      clauses += 1;
      const holds = Array.from({ length: this.size }, (_, i) => {
        const side = this.clause[2 * i] ?? 0;
        const value = values[side >> 1];
        if (value === undefined) throw new Error(`seed ${seed}: variable ${side >> 1} has no value`);
        return (side & 1 ? -value : value) >= (this.clause[2 * i + 1] ?? 0);
      });
      expect({ seed, holds: learned && holds.includes(true) }).toEqual({ seed, holds: learned });
      return learned;
    });
    solve(problem, { budget: { work: 5_000_000 }, seed: 2 });
    spy.mockRestore();
  }
  expect(clauses).toBeGreaterThan(1000);
});
