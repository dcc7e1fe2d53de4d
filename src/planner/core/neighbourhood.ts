import type { Atom, Emitted } from './emit.ts';
import type { Chance } from './random.ts';

/** Times left free at once: one of these at random. */
const SIZES = [6, 10, 16, 24, 40];
/** A time is kept in order with so many that come next. */
const NEXT = 3;

/**
 * Ways to stay near a schedule: some times are left free, the others keep their order with the next ones, or stay where they
 * are. The atoms are only preferred, so that what cannot be kept gives way.
 */
export class Neighbourhood {
  private readonly emitted: Emitted;
  private readonly chance: Chance;
  /** By variable: the differences it is part of, and the other part. */
  private readonly links: { readonly other: number; readonly difference: number }[][];
  private readonly choicesAt: readonly (readonly number[])[];

  constructor(emitted: Emitted, chance: Chance, choicesAt: readonly (readonly number[])[]) {
    this.emitted = emitted;
    this.chance = chance;
    this.choicesAt = choicesAt;
    const { differences, store } = emitted.engine;
    this.links = Array.from({ length: store.variables }, () => []);
    for (let d = 0; d < differences.count; d += 1) {
      const variable = differences.variableAt(d);
      const parts = differences.partsOf(variable);
      if (!parts || !differences.hasThresholds(variable)) continue;
      this.links[parts[0]]?.push({ other: parts[1], difference: variable });
      this.links[parts[1]]?.push({ other: parts[0], difference: variable });
    }
  }

  /** Atoms that keep all but some times of a schedule (values by variable). What a wanted time hangs on is left free more often. */
  around(values: Int32Array, mayStay: boolean, wanted: number): Atom[] {
    const { store } = this.emitted.engine;
    const at = (variable: number): number => values[variable] ?? 0;
    const open = this.emitted.times
      .filter((variable) => store.least(variable) < store.most(variable))
      .toSorted((a, b) => at(a) - at(b) || a - b);
    const free = this.chooseFree(open, values, wanted);
    const stay = mayStay && this.chance.below(2) === 0;
    const atoms: Atom[] = [];
    open.forEach((variable) => {
      if (free.has(variable)) return;
      for (const choice of this.choicesAt[variable] ?? [])
        atoms.push(at(choice) > 0 ? [2 * choice, 1] : [2 * choice + 1, 0]);
      if (stay) atoms.push([2 * variable, at(variable)], [2 * variable + 1, -at(variable)]);
      else this.keepOrder(variable, values, free, atoms);
    });
    return atoms;
  }

  private chooseFree(open: readonly number[], values: Int32Array, wanted: number): Set<number> {
    const at = (variable: number): number => values[variable] ?? 0;
    const size = Math.min(SIZES[this.chance.below(SIZES.length)] ?? 10, Math.ceil(open.length * 0.6));
    const tight = this.chance.below(3) > 0 ? this.tightBefore(values, wanted) : [];
    const pivots = tight.length > 2 ? tight : open;
    const pivot = pivots[this.chance.below(pivots.length)] ?? 0;
    const way = this.chance.below(3);
    const distance = (variable: number): number => Math.abs(at(variable) - at(pivot));
    const { lagBetween } = this.emitted;
    const isRelated = (other: number): boolean =>
      other === pivot || lagBetween(pivot, other) !== undefined || lagBetween(other, pivot) !== undefined;
    const near = (way === 0 ? open : open.filter(isRelated)).toSorted(
      (a, b) => distance(a) - distance(b) || a - b,
    );
    const free = new Set(near.slice(0, way === 2 ? Math.ceil(size / 2) : size));
    while (way === 2 && free.size < size) free.add(open[this.chance.below(open.length)] ?? 0);
    return free;
  }

  private tightFor: Int32Array | undefined;
  private tight: number[] = [];

  /** The times that a time hangs on in a schedule: chains of lags and orders without slack. */
  private tightBefore(values: Int32Array, wanted: number): readonly number[] {
    if (this.tightFor === values) return this.tight;
    const { emitted } = this;
    const { differences } = emitted.engine;
    const found = new Set(emitted.times.includes(wanted) ? [wanted] : []);
    for (const late of found) {
      for (const early of emitted.times) {
        const between = (values[late] ?? 0) - (values[early] ?? 0);
        if (!found.has(early) && emitted.lagBetween(early, late) === between) found.add(early);
      }
      for (const { other, difference } of this.links[late] ?? []) {
        const between = (values[late] ?? 0) - (values[other] ?? 0);
        const side = 2 * difference + (differences.partsOf(difference)?.[1] === late ? 0 : 1);
        if (differences.thresholdBelow(side, between) === between) found.add(other);
      }
    }
    this.tightFor = values;
    this.tight = [...found];
    return this.tight;
  }

  private keepOrder(variable: number, values: Int32Array, free: ReadonlySet<number>, atoms: Atom[]): void {
    const { differences } = this.emitted.engine;
    const at = (other: number): number => values[other] ?? 0;
    const next = (this.links[variable] ?? [])
      .filter(({ other }) => at(other) >= at(variable) && !free.has(other))
      .toSorted((a, b) => at(a.other) - at(b.other) || a.other - b.other);
    for (const { difference } of next.slice(0, NEXT)) {
      const [a, b] = differences.partsOf(difference) ?? [0, 0];
      const value = at(b) - at(a);
      for (const [side, bound] of [
        [2 * difference, value],
        [2 * difference + 1, -value],
      ] as const) {
        const threshold = differences.thresholdBelow(side, bound);
        if (threshold !== undefined) atoms.push([side, threshold]);
      }
    }
  }
}
