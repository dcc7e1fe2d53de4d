import { ActiveAtoms } from './atoms.ts';
import { Analysis } from './analysis.ts';
import type { Atom, Emitted } from './emit.ts';
import type { Engine } from './engine.ts';
import { ROOT, type Store } from './store.ts';

/** found: everything is settled. refuted: not under these assumptions. spent: the allowance was used up. */
export type Outcome = 'found' | 'refuted' | 'spent';

export interface Allowance {
  readonly work: number;
  readonly failures?: number;
  readonly stop: () => boolean;
}

/** Failures between two starts are this many times a Luby number. */
const PACE = 128;
/** Of so many starts one decides in order of time; the others where failures were last. */
const ORDERLY = 16;
/** The stop callback is asked after so much work. */
const ASKING = 4000;
/** Learned clauses kept at first; more are allowed as the search goes on. */
const MEMORY = 3000;

/**
 * Searches for values of all variables under assumptions: decides, draws conclusions, and learns a clause from each failure.
 * What is learned holds whatever was assumed.
 */
export class Search {
  readonly engine: Engine;
  private readonly store: Store;
  private readonly analysis: Analysis;
  private readonly active: ActiveAtoms;
  private readonly emitted: Emitted;
  /** 1: the earlier the better; -1: the later the better. By variable. */
  private readonly direction: Int8Array;
  /** Choices that are made before the variable is. */
  private readonly choicesAt: readonly (readonly number[])[];
  /** The values that a schedule near what is wanted has; hinted: there is one. */
  private readonly hint: Int32Array;
  private hinted = false;
  /** Whether times are settled where the hint has them, as near as can be, rather than at an end of what they can be. */
  follows = false;
  /** Where the clauses were when there were so many, others are dropped. */
  private memory = MEMORY;
  private starts = 0;
  private untilRestart = 0;
  private byActivity = false;
  /** Atoms that are decided first where they are open. */
  private preferred: readonly Atom[] = [];
  private nextPreferred = 0;
  private orderly = false;
  failures = 0;
  /** Without solution: there is nothing at all. */
  isDead = false;

  constructor(emitted: Emitted, direction: Int8Array, choicesAt: readonly (readonly number[])[]) {
    this.emitted = emitted;
    this.engine = emitted.engine;
    this.store = emitted.engine.store;
    this.analysis = new Analysis(this.engine);
    this.active = new ActiveAtoms(this.store);
    this.analysis.onAtom = (side, bound) => this.active.bump(side, bound);
    this.direction = direction;
    this.choicesAt = choicesAt;
    this.hint = new Int32Array(this.store.variables);
  }

  /** Later decisions lean towards these values (by variable of a time or a choice). */
  lean(values: Int32Array): void {
    this.hint.set(values);
    this.hinted = true;
  }

  /** Later decisions lean towards nothing but what is wanted early or late. */
  forget(): void {
    this.hinted = false;
  }

  /** Until the next call these atoms are decided first, and then now and then the rest in order of time. */
  prefer(atoms: readonly Atom[]): void {
    this.preferred = atoms;
    this.orderly = atoms.length > 0 && this.failures % 2 > 0;
  }

  backTo(level: number): void {
    this.nextPreferred = 0;
    this.store.backTo(level);
    this.active.backTo(level);
  }

  run(assumptions: readonly Atom[], allowance: Allowance): Outcome {
    const { store } = this;
    this.backTo(0);
    let asked = store.work;
    const most = this.failures + (allowance.failures ?? Infinity);
    for (;;) {
      if (this.isDead) return 'refuted';
      if (!this.engine.propagate()) {
        if (!this.learn()) {
          this.isDead = true;
          return 'refuted';
        }
        this.untilRestart -= 1;
        continue;
      }
      if (store.work > allowance.work || this.failures > most) return 'spent';
      if (store.work - asked > ASKING) {
        asked = store.work;
        if (allowance.stop()) return 'spent';
      }
      if (this.untilRestart <= 0) {
        this.restart();
        continue;
      }
      const outcome = this.decide(assumptions);
      if (outcome) return outcome;
    }
  }

  private restart(): void {
    this.starts += 1;
    this.untilRestart = PACE * luby(this.starts);
    this.byActivity = this.starts % ORDERLY !== 0;
    this.backTo(0);
    this.active.thin();
    const { clauses } = this.engine;
    if (clauses.learned > this.memory) {
      this.memory = Math.floor(this.memory * 1.05);
      this.store.settleRoot();
      if (!clauses.tidy(true)) this.isDead = true;
    }
  }

  private learn(): boolean {
    const { analysis, store } = this;
    this.failures += 1;
    if (!analysis.analyse()) return false;
    this.active.fade();
    this.backTo(analysis.backLevel);
    const side = analysis.clause[0] ?? 0;
    const bound = analysis.clause[1] ?? 0;
    if (analysis.size === 1) return store.set(side, bound, ROOT, 0);
    const clause = this.engine.clauses.write(analysis.clause, analysis.size, analysis.levels);
    return this.engine.follow(side, bound, clause);
  }

  /** Makes the next decision, or says that there is none to make. */
  private decide(assumptions: readonly Atom[]): Outcome | undefined {
    const { store } = this;
    while (store.level < assumptions.length) {
      const [side, bound] = assumptions[store.level] ?? [0, 0];
      if (store.isFalse(side, bound)) return 'refuted';
      store.openLevel();
      if (store.isTrue(side, bound)) continue;
      store.set(side, bound, ROOT, 0);
      return undefined;
    }
    store.openLevel();
    if (this.decidePreferred()) return undefined;
    if (this.byActivity && !this.orderly && this.decideActive()) return undefined;
    if (this.decideNext()) return undefined;
    return 'found';
  }

  private decidePreferred(): boolean {
    const { store, preferred } = this;
    for (; this.nextPreferred < preferred.length; this.nextPreferred += 1) {
      const [side, bound] = preferred[this.nextPreferred] ?? [0, 0];
      if (!store.isTrue(side, bound) && !store.isFalse(side, bound)) return store.set(side, bound, ROOT, 0);
    }
    return false;
  }

  private decideActive(): boolean {
    const { active, store } = this;
    const atom = active.next();
    if (atom < 0) return false;
    const variable = active.variableAt(atom);
    const bound = active.boundAt(atom);
    const side = 2 * variable;
    const holds = this.leaning(variable) >= bound;
    return holds ? store.set(side, bound, ROOT, 0) : store.set(side + 1, 1 - bound, ROOT, 0);
  }

  /** The value that a variable would have if everything stayed where it is, or as in the hint. */
  private leaning(variable: number): number {
    const { store } = this;
    const parts = this.engine.differences.partsOf(variable);
    if (parts) return this.wished(parts[1]) - this.wished(parts[0]);
    if (variable >= this.direction.length) return store.least(variable);
    return this.wished(variable);
  }

  private wished(variable: number): number {
    const { store } = this;
    if (this.hinted) return this.hint[variable] ?? 0;
    return (this.direction[variable] ?? 1) > 0 ? store.least(variable) : store.most(variable);
  }

  /** Settles the open time that comes first (or last, where late is good) at that end of what it can be. */
  private decideNext(): boolean {
    const { store } = this;
    const { val } = store;
    let best = -1;
    let bestKey = Infinity;
    let bestWidth = 0;
    for (const variable of this.emitted.times) {
      const least = val[2 * variable] ?? 0;
      const most = -(val[2 * variable + 1] ?? 0);
      if (least === most) continue;
      const key = (this.direction[variable] ?? 1) > 0 ? least : -most;
      if (key > bestKey || (key === bestKey && most - least >= bestWidth)) continue;
      best = variable;
      bestKey = key;
      bestWidth = most - least;
    }
    store.work += this.emitted.times.length >> 3;
    if (best < 0) return this.decideChoice(this.emitted.choices);
    if (this.decideChoice(this.choicesAt[best] ?? [])) return true;
    if (this.follows) return this.decideAsHinted(best);
    const early = (this.direction[best] ?? 1) > 0;
    return early
      ? store.set(2 * best + 1, -(val[2 * best] ?? 0), ROOT, 0)
      : store.set(2 * best, -(val[2 * best + 1] ?? 0), ROOT, 0);
  }

  private decideAsHinted(variable: number): boolean {
    const { store } = this;
    const least = store.least(variable);
    const wish = Math.min(store.most(variable), Math.max(least, this.hint[variable] ?? 0));
    return wish > least
      ? store.set(2 * variable, wish, ROOT, 0)
      : store.set(2 * variable + 1, -wish, ROOT, 0);
  }

  private decideChoice(choices: readonly number[]): boolean {
    const { store } = this;
    for (const choice of choices) {
      if (store.least(choice) === store.most(choice)) continue;
      const yes = this.hinted && (this.hint[choice] ?? 0) > 0;
      return yes ? store.set(2 * choice, 1, ROOT, 0) : store.set(2 * choice + 1, 0, ROOT, 0);
    }
    return false;
  }
}

/** 1 1 2 1 1 2 4 1 1 2 1 1 2 4 8 …, from index 1. */
function luby(index: number): number {
  let bits = 1;
  while (2 ** bits - 1 < index) bits += 1;
  return 2 ** bits - 1 === index ? 2 ** (bits - 1) : luby(index - 2 ** (bits - 1) + 1);
}
