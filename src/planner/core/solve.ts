import { faults, levelValue } from './check.ts';
import { Apart, isBetter } from './apart.ts';
import { compile } from './compile.ts';
import { emit, type Atom, type Emitted } from './emit.ts';
import type { Goal } from './goals.ts';
import { isLarge, rightStart, solveLarge } from './large.ts';
import { choicesAt, directionsOf } from './leanings.ts';
import { machineBound } from './machine.ts';
import type { Neighbourhoods } from './lns.ts';
import type { LevelResult, Problem, Schedule, SolveOptions, SolveResult } from './problem.ts';
import { Neighbourhood } from './neighbourhood.ts';
import { Chance } from './random.ts';
import { LARGEST } from './sum.ts';
import { Search, type Allowance, type Outcome } from './search.ts';

/** The work given to a level before the next ones are tried, at first; doubled in each round. */
const FIRST_SHARE = 300_000;
/** Problems of more activities are also taken apart. */
const FEW = 20;
/** Up to so many activities it is first seen how far all of it can be settled at once. */
const SOME = 60;
/** Work between two looks at what has become better. */
const SPELL = 50_000;
/** So many times in a row what lies farthest out is placed anew. */
const AGAIN = 4;
/** So many rounds keep later levels near what they are. */
const RAILED = 2;
/** What an attempt costs that is refused at once. */
const REFUSED = 500;
/** Failures until the first schedule is looked for thoroughly. */
const HASTY = 50;
/** Failures that an attempt near a schedule may cost. */
const NEARBY = 60;
/** Failures that one attempt at a level may cost at first. */
const SHORTEST_ATTEMPT = 50;

/**
 * Finds a schedule that makes each level as small as it can be without giving up those before it, and says what is proven.
 *
 * @throws RangeError when the problem's times span more than 2^29 units.
 */
export function solve(problem: Problem, options: SolveOptions): SolveResult {
  if (isLarge(problem)) return solveLarge(problem, options, solve);
  const compiled = compile(problem);
  if (!compiled.model.isPossible) return { status: 'infeasible', work: compiled.model.network.work };
  const emitted = emit(problem, compiled);
  if (!emitted) return { status: 'infeasible', work: compiled.model.network.work };
  emitted.engine.store.work += compiled.model.network.work >> 4;
  return new Solver(problem, options, emitted).run();
}

/**
 * An attempt at a level. bold: asks for the best there could be, or little more. near: for something better near the best
 * schedule. any: for anything better.
 */
type Kind = 'bold' | 'near' | 'any';

/** The shares of the work that attempts get. What lies near gets more as long as it keeps finding something better. */
const SHARES = { bold: 3, any: 3, near: { least: 3, most: 12, fade: 0.94 } };

function nextKind({ spent, hope }: Pace): Kind {
  const due = { bold: spent.bold / SHARES.bold, near: spent.near / hope, any: spent.any / SHARES.any };
  if (due.bold <= Math.min(due.near, due.any)) return 'bold';
  return due.near <= due.any ? 'near' : 'any';
}

interface Pace {
  /** How much more than the bound is asked for. */
  step: number;
  /** How much better than the best near schedules must be. */
  gain: number;
  failures: number;
  /** Work spent on each kind of attempt. */
  readonly spent: Record<Kind, number>;
  /** The share of what lies near. */
  hope: number;
}

class Solver {
  private readonly problem: Problem;
  private readonly options: SolveOptions;
  private readonly emitted: Emitted;
  private readonly search: Search;
  private readonly apart: Apart | undefined;
  private around: Neighbourhoods | undefined;
  private round = 0;
  private best: Schedule | undefined;
  private readonly values: number[] = [];
  /** The best schedule by variable. */
  private bestValues = new Int32Array(0);
  private readonly neighbourhood: Neighbourhood;
  private readonly hasSums: boolean;

  constructor(problem: Problem, options: SolveOptions, emitted: Emitted) {
    this.problem = problem;
    this.options = options;
    this.emitted = emitted;
    this.hasSums = problem.objective.some((level) => level.terms.length > 1);
    if (this.hasSums && problem.activities.length > FEW) this.apart = new Apart(problem, options, solve);
    const choices = choicesAt(problem, emitted);
    this.search = new Search(emitted, directionsOf(problem, emitted), choices);
    this.neighbourhood = new Neighbourhood(emitted, new Chance(options.seed ?? 1), choices);
    if (options.warmStart) this.leanTo(options.warmStart.times, options.warmStart.ovenOf);
    this.boundByMachines();
  }

  /** What the levels cannot be below as hands do one thing at a time. */
  private boundByMachines(): void {
    const { goals, views, engine } = this.emitted;
    const latest = (point: number): number => {
      const { variable = 0, offset = 0 } = views[point] ?? {};
      return engine.store.most(variable) + offset;
    };
    this.problem.objective.forEach((level, i) => {
      const { constant, scale } = goals[i] ?? { constant: 0, scale: 1 };
      const bound = machineBound(this.problem, level, latest);
      if (bound !== undefined) this.proofs[i] = Math.ceil((bound - constant) / scale);
    });
  }

  private get work(): number {
    return this.emitted.engine.store.work;
  }

  private allowance(share: number): Allowance {
    const { budget } = this.options;
    return {
      work: Math.min(budget.work ?? Infinity, this.work + share),
      stop: budget.stop ?? ((): boolean => false),
    };
  }

  private isSpent(): boolean {
    const { budget } = this.options;
    return this.work >= (budget.work ?? Infinity) || (budget.stop?.() ?? false);
  }

  run(): SolveResult {
    // Being thorough costs more than a few failures; where there are many it pays.
    this.search.engine.isThorough = false;
    if (!this.startsRight()) {
      // A start that is near what is wanted is mended where it is not right.
      this.search.follows = this.options.warmStart !== undefined;
      let first = this.search.run([], { ...this.allowance(Infinity), failures: HASTY });
      this.search.follows = false;
      this.search.engine.isThorough = true;
      if (first === 'spent' && !this.isSpent()) first = this.search.run([], this.allowance(Infinity));
      if (first === 'refuted') return { status: 'infeasible', work: this.work };
      if (first === 'spent') return { status: 'unknown', bound: this.firstBound(), work: this.work };
      this.take();
    }
    this.search.engine.isThorough = true;
    if (!this.options.anyWillDo) this.improve();
    return this.result();
  }

  /** A schedule to start with that meets the whole problem is the first one; so is one that is built part by part. */
  private startsRight(): boolean {
    const { apart, options, problem } = this;
    let schedule = rightStart(problem, options);
    if (!schedule && apart && !options.anyWillDo && !options.warmStart) {
      schedule = apart.first(Math.min(FIRST_SHARE, (options.budget.work ?? Infinity) / 4));
      this.count(apart.work);
      if (schedule && !apart.isShort) schedule = this.roundabout(schedule);
    }
    if (schedule) this.adopt(schedule);
    return schedule !== undefined;
  }

  /** Where waits could not be kept short from the start: from a schedule with more room, drawn together afterwards. */
  private roundabout(spare: Schedule): Schedule {
    const share = Math.min(FIRST_SHARE, (this.options.budget.work ?? Infinity) / 6);
    if (this.search.run([], { ...this.allowance(share), failures: 20 * HASTY }) !== 'found') return spare;
    this.take();
    this.lower(0, share);
    this.placeAgain(share);
    return this.best && isBetter(this.problem, this.best, spare) ? this.best : spare;
  }

  private count(work: number): void {
    this.emitted.engine.store.work += work;
  }

  /** Takes a schedule from elsewhere, which must be right. */
  private adopt(schedule: Schedule): void {
    this.best = schedule;
    this.problem.objective.forEach((level, i) => (this.values[i] = levelValue(level, schedule)));
    this.bestValues = this.leanTo(schedule.times, schedule.ovenOf);
    this.options.onImprovement?.(this.levels(), schedule);
  }

  private firstBound(): number {
    const goal = this.emitted.goals[0];
    return goal ? this.boundOf(goal, 0) : 0;
  }

  private boundOf({ scale, constant }: Goal, level: number): number {
    return scale * this.lowest(level) + constant;
  }

  private rootVal(side: number): number {
    const { store } = this.emitted.engine;
    return store.valBefore(side, store.rootEnd());
  }

  /** Level after level; one that is not proven in its share is left as it is for now, and taken up again with twice the share. */
  private improve(): void {
    const { goals } = this.emitted;
    let proven = 0;
    for (let share = this.firstShare(); proven < goals.length && !this.isSpent(); share *= 2) {
      this.round += 1;
      if (this.round > 1 || this.problem.activities.length > SOME) this.lookAround(share);
      for (let level = proven; level < goals.length && !this.isSpent(); level += 1) {
        const all = !this.apart && level === goals.length - 1 && proven === level;
        const before = [...this.values];
        if (this.lower(level, all ? Infinity : share) && level === proven) proven += 1;
        // What was won at this level may have thrown the others far apart.
        if (
          this.values.some((value, i) => i > level && value > (before[i] ?? 0) + Math.abs(before[i] ?? 0) / 4)
        )
          this.placeAgain(share);
      }
    }
  }

  private placeAgain(share: number): void {
    const { apart } = this;
    for (let left = AGAIN; apart && this.best && left > 0 && !this.isSpent(); left -= 1) {
      const worked = apart.work;
      const again = apart.again(
        this.best,
        Math.min(share, (this.options.budget.work ?? Infinity) - this.work),
      );
      this.count(apart.work - worked);
      if (!again) return;
      this.adopt(again);
    }
  }

  private firstShare(): number {
    return this.apart ? Math.min(FIRST_SHARE / 4, (this.options.budget.work ?? Infinity) / 30) : FIRST_SHARE;
  }

  /** Takes the best schedule apart where it is of some size. */
  private lookAround(share: number): void {
    const { best, apart, options } = this;
    if (!best || !apart) return;
    this.around ??= apart.around(best);
    if (this.around.best !== best) this.around.adopt(best);
    const until = Math.min(this.work + share, options.budget.work ?? Infinity);
    while (this.work < until && !this.isSpent()) {
      const before = this.around.work;
      const isBetter = this.around.run(Math.min(SPELL, until - this.work));
      this.count(this.around.work - before);
      if (isBetter) this.adopt(this.around.best);
    }
  }

  /**
   * Makes a level smaller for as long as that is possible; true: it cannot be smaller. Two attempts take turns. One asks for
   * the best there could be, and for a little more each time that is refuted: what is wanted strongly says much about all times,
   * and a schedule is often near the bound. The other asks for anything better than the best so far.
   */
  private lower(level: number, share: number): boolean {
    const goal = this.emitted.goals[level];
    if (!goal) return true;
    const until = this.work + share;
    const before = Array.from({ length: level }, (_, earlier) => this.noWorse(earlier));
    const pace = this.paceOf(level);
    for (;;) {
      const low = this.lowest(level);
      const high = this.sideValue(level);
      if (low >= high) return true;
      if (this.work >= until || this.isSpent()) return false;
      const kind = nextKind(pace);
      const begun = this.work;
      const ask = {
        bold: Math.min(high - 1, low + pace.step - 1),
        near: Math.max(low, high - pace.gain),
        any: Math.max(low, high - Math.max(1, pace.gain >> 1)),
      };
      const rails = kind === 'near' || (kind === 'any' && this.round <= RAILED) ? this.rails(level) : [];
      const atoms: Atom[] = [...before, ...rails, [goal.side ^ 1, -ask[kind]]];
      const outcome = this.attempt(kind, atoms, until, pace.failures);
      if (outcome === 'refuted' && rails.length > 0) {
        // It may still be had, at the cost of other levels.
        this.count(REFUSED);
        pace.step *= 2;
        pace.gain = Math.max(1, pace.gain >> 1);
      } else if (outcome === 'refuted') {
        this.proofs[level] = ask[kind] + 1;
        pace.step *= 2;
      } else if (outcome === 'found') {
        this.take();
        pace.step = 1;
        pace.gain = Math.max(1, Math.min(2 * pace.gain, (this.sideValue(level) - low) >> 2));
      } else if (kind === 'bold') pace.step = low + 4 * pace.step < high - 1 ? 4 * pace.step : 1;
      else if (kind === 'near') pace.gain = Math.max(1, pace.gain >> 1);
      else pace.failures *= 1.5;
      pace.spent[kind] += this.work - begun;
      if (kind === 'near')
        pace.hope =
          outcome === 'found' ? SHARES.near.most : Math.max(SHARES.near.least, pace.hope * SHARES.near.fade);
    }
  }

  /**
   * Of a schedule of some size it is first asked that later levels get no worse than by a little: what is best at one level alone
   * may lie months away, and then there is much to be made good.
   */
  private rails(level: number): Atom[] {
    if (!this.apart) return [];
    return this.emitted.goals.slice(level + 1).map(({ side }, i): Atom => {
      const value = this.sideValue(level + 1 + i);
      return [side ^ 1, -Math.max(value, Math.min(LARGEST, value + Math.ceil(Math.abs(value) / 20)))];
    });
  }

  /** What has been learned about how far to go at a level, kept from one share to the next. */
  private readonly paces: Pace[] = [];

  private paceOf(level: number): Pace {
    const gap = this.sideValue(level) - this.lowest(level);
    return (this.paces[level] ??= {
      step: 1,
      gain: Math.max(1, gap >> 7),
      failures: SHORTEST_ATTEMPT,
      spent: { bold: 0, near: 0, any: 0 },
      hope: SHARES.near.most,
    });
  }

  private attempt(kind: Kind, atoms: readonly Atom[], until: number, failures: number): Outcome {
    const { search } = this;
    if (kind === 'near')
      search.prefer(this.neighbourhood.around(this.bestValues, this.hasSums, (atoms.at(-1)?.[0] ?? 0) >> 1));
    search.engine.isThorough = kind !== 'near';
    const isFree = kind === 'bold' && this.apart !== undefined;
    if (isFree) search.forget();
    const outcome = search.run(atoms, {
      ...this.allowance(until - this.work),
      failures: kind === 'near' ? NEARBY : failures,
    });
    search.prefer([]);
    if (isFree) search.lean(this.bestValues);
    return outcome;
  }

  private lowest(level: number): number {
    const side = this.emitted.goals[level]?.side ?? 0;
    return Math.max(this.rootVal(side), this.proofs[level] ?? -Infinity);
  }

  /** What the best schedule makes of a level's side. */
  private sideValue(level: number): number {
    const goal = this.emitted.goals[level];
    return goal ? Math.round(((this.values[level] ?? 0) - goal.constant) / goal.scale) : 0;
  }

  /**
   * By level: what its side cannot be below in a schedule as good as the best one on the levels before. It stays true when those
   * get better, for then less is allowed.
   */
  private readonly proofs: number[] = [];

  /** The atom that a level is no worse than in the best schedule. */
  private noWorse(level: number): Atom {
    const goal = this.emitted.goals[level];
    if (!goal) return [0, 0];
    return [goal.side ^ 1, -this.sideValue(level)];
  }

  /** Takes the schedule that the search has found. */
  private take(): void {
    const { engine, views, goesTo } = this.emitted;
    const { store } = engine;
    const times = Int32Array.from(views, ({ variable, offset }) => store.least(variable) + offset);
    const ovenOf = Int32Array.from(this.problem.groups, ({ candidates }, group) => {
      const way =
        goesTo[group]?.findIndex((atom) => (typeof atom === 'boolean' ? atom : store.isTrue(...atom))) ?? -1;
      return candidates[way] ?? -1;
    });
    const schedule = { times, ovenOf };
    const wrong = faults(this.problem, schedule);
    if (wrong.length > 0) throw new Error(`the solver made a wrong schedule: ${wrong.join('; ')}`);
    this.best = schedule;
    this.problem.objective.forEach((level, i) => (this.values[i] = levelValue(level, schedule)));
    this.bestValues = Int32Array.from({ length: store.variables }, (_, variable) => store.least(variable));
    this.search.lean(this.bestValues);
    this.options.onImprovement?.(this.levels(), schedule);
  }

  /** By variable, as far as that is said. */
  private leanTo(times: ArrayLike<number>, ovenOf: ArrayLike<number> | undefined): Int32Array<ArrayBuffer> {
    const { engine, views, goesTo } = this.emitted;
    const { store } = engine;
    const values = Int32Array.from({ length: store.variables }, (_, variable) => store.least(variable));
    views.forEach(({ variable, offset }, point) => {
      values[variable] = (times[point] ?? 0) - offset;
    });
    goesTo.forEach((ways, group) =>
      ways.forEach((atom, way) => {
        if (typeof atom === 'boolean' || this.problem.groups[group]?.candidates[way] !== ovenOf?.[group])
          return;
        values[atom[0] >> 1] = atom[0] & 1 ? -atom[1] : atom[1];
      }),
    );
    this.search.lean(values);
    return values;
  }

  private result(): SolveResult {
    if (!this.best) return { status: 'unknown', bound: this.firstBound(), work: this.work };
    const levels = this.levels();
    const optimal = levels.every(({ value, bound }) => value === bound);
    return { status: optimal ? 'optimal' : 'feasible', schedule: this.best, levels, work: this.work };
  }

  private levels(): LevelResult[] {
    return this.emitted.goals.map((goal, level): LevelResult => {
      const value = this.values[level] ?? 0;
      return { name: goal.name, value, bound: Math.min(value, this.boundOf(goal, level)) };
    });
  }
}
