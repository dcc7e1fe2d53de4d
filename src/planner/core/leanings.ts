import type { Emitted } from './emit.ts';
import type { Problem } from './problem.ts';

/** Which way each time is wanted: by the level that speaks of most points and of this one, else as most times are. */
export function directionsOf(problem: Problem, emitted: Emitted): Int8Array {
  const { store } = emitted.engine;
  const directions = new Int8Array(store.variables);
  const levels = problem.objective.toSorted((a, b) => b.terms.length - a.terms.length);
  let late = 0;
  for (const { terms } of levels) {
    const weights = new Map<number, number>();
    for (const { point, weight } of terms) {
      const variable = emitted.views[point]?.variable ?? 0;
      weights.set(variable, (weights.get(variable) ?? 0) + weight);
    }
    for (const [variable, weight] of weights) {
      if (directions[variable] !== 0 || weight === 0) continue;
      directions[variable] = weight > 0 ? 1 : -1;
      late += weight > 0 ? -1 : 1;
    }
  }
  return directions.map((direction) => (direction === 0 ? (late > 0 ? -1 : 1) : direction));
}

/** Choices by the time they are made with: the start of the group's first demand, or its last end where late is good. */
export function choicesAt(problem: Problem, emitted: Emitted): number[][] {
  const found: number[][] = Array.from({ length: emitted.engine.store.variables }, () => []);
  problem.groups.forEach(({ demands }, group) => {
    const choices =
      emitted.goesTo[group]?.flatMap((atom) => (typeof atom === 'boolean' ? [] : [atom[0] >> 1])) ?? [];
    for (const index of demands) {
      const demand = problem.demands[index];
      if (!demand) continue;
      for (const point of [demand.start, demand.end])
        found[emitted.views[point]?.variable ?? 0]?.push(...choices);
    }
  });
  return found.map((list) => [...new Set(list)]);
}
