import type { Emitter } from './emit.ts';
import { transport, type Flow } from './flow.ts';
import type { Level, Problem } from './problem.ts';
import { LARGEST, Sum } from './sum.ts';

/** A level of the objective as a side that is to be kept low: the level's value is `scale x side + constant`. */
export interface Goal {
  readonly name: string;
  readonly side: number;
  readonly scale: number;
  readonly constant: number;
}

interface Term {
  readonly side: number;
  readonly coefficient: number;
}

/**
 * Writes each level as a sum of sides with coefficients above 0. Weights of opposite sign are paired to differences, along a
 * cheapest flow over the longest paths: by duality the sum of the differences' least values is then the best bound that
 * lags alone can give, and it rises as soon as one of the differences does.
 */
export function addGoals(emitter: Emitter, problem: Problem): Goal[] {
  return problem.objective.map((level, index) => addGoal(emitter, level, index));
}

function addGoal(emitter: Emitter, level: Level, index: number): Goal {
  const { engine, compiled } = emitter;
  const weights = new Map<number, number>();
  let constant = 0;
  const nodeOf: number[] = [];
  for (const { point, weight } of level.terms) {
    const place = compiled.model.place(point);
    const { variable, offset } = emitter.view(place);
    constant += weight * offset;
    weights.set(variable, (weights.get(variable) ?? 0) + weight);
    nodeOf[variable] ??= place.node;
  }
  const terms: Term[] = [];
  const flows = flowsFor(emitter, weights, nodeOf);
  for (const { from, to, amount } of flows) {
    if (from < 0) terms.push({ side: 2 * to, coefficient: amount });
    else if (to < 0) terms.push({ side: 2 * from + 1, coefficient: amount });
    else {
      const [first, second] = [nodeOf[from] ?? 0, nodeOf[to] ?? 0];
      const side = emitter.difference(first, second);
      engine.differences.wantExact(side >> 1);
      terms.push({ side, coefficient: amount });
    }
  }
  (compiled.overlaps[index] ?? []).forEach((overlap) => {
    const atom = emitter.atom(overlap.condition);
    if (atom === true) constant += overlap.weight;
    else if (atom !== false && overlap.weight > 0) terms.push({ side: atom[0], coefficient: overlap.weight });
    else if (atom !== false && overlap.weight < 0)
      terms.push({ side: atom[0] ^ 1, coefficient: -overlap.weight });
  });
  return goalOf(emitter, level.name, terms, constant);
}

function flowsFor(emitter: Emitter, weights: ReadonlyMap<number, number>, nodeOf: readonly number[]): Flow[] {
  const { network } = emitter.compiled.model;
  const supplies = [...weights].flatMap(([variable, weight]) =>
    weight < 0 ? [{ variable, amount: -weight }] : [],
  );
  const wants = [...weights].flatMap(([variable, weight]) =>
    weight > 0 ? [{ variable, amount: weight }] : [],
  );
  const shift = (variable: number): number => emitter.view({ node: nodeOf[variable] ?? 0, offset: 0 }).offset;
  return transport(supplies, wants, (from, to) => {
    const { store } = emitter.engine;
    if (from < 0) return store.least(to);
    if (to < 0) return -store.most(from);
    const path = network.path(nodeOf[from] ?? 0, nodeOf[to] ?? 0);
    return path === undefined ? undefined : path - shift(to) + shift(from);
  });
}

function goalOf(emitter: Emitter, name: string, terms: readonly Term[], constant: number): Goal {
  const { store } = emitter.engine;
  const merged = new Map<number, number>();
  for (const { side, coefficient } of terms) merged.set(side, (merged.get(side) ?? 0) + coefficient);
  const scale = [...merged.values()].reduce(divisor, 0) || 1;
  const [only] = merged;
  if (only && merged.size === 1) return { name, side: only[0], scale, constant };
  const all = [...merged].map(([side, coefficient]) => ({ side, coefficient: coefficient / scale }));
  const base = all.reduce((sum, { side, coefficient }) => sum + coefficient * (store.val[side] ?? 0), 0);
  const total = 2 * store.addVariable(0, LARGEST);
  const sum = new Sum(store, emitter.engine.sums.length, total, -base, all);
  emitter.engine.sums.push(sum);
  emitter.engine.addPropagator(sum);
  return { name, side: total, scale, constant: constant + scale * base };
}

function divisor(a: number, b: number): number {
  return b === 0 ? a : divisor(b, a % b);
}
