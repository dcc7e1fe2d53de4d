import { not, type Condition, type Model } from './model.ts';
import type { Problem, StateDemand, StateResource } from './problem.ts';

/** Adds what the state resources ask for; the result says when a group goes to the n-th of its candidates. */
export function compileOvens(problem: Problem, model: Model): Condition[][] {
  const goesTo = problem.groups.map(({ candidates }) => choose(model, candidates.length));
  breakSymmetry(problem, model, goesTo);
  const ovens = new Ovens(problem, model, goesTo);
  problem.groups.forEach((_, group) => ovens.withinGroup(group));
  problem.demands.forEach((a, i) => {
    for (const b of problem.demands.slice(0, i))
      if (a.group !== b.group && !(a.settled && b.settled)) ovens.pair(a, b);
  });
  problem.ovens.forEach((_, oven) => ovens.capacity(oven));
  return goesTo;
}

/** One condition for each of so many ways, of which exactly one holds. */
function choose(model: Model, ways: number): Condition[] {
  if (ways <= 1) return [true];
  if (ways === 2) {
    const second = model.choice();
    return [not(second), second];
  }
  const all = Array.from({ length: ways }, () => model.choice());
  model.oneOf(...all);
  all.forEach((one, i) => {
    for (const other of all.slice(0, i)) model.oneOf(not(one), not(other));
  });
  return all;
}

/** Of state resources that are alike, the first groups take the first: group n goes to none beyond the n-th. */
function breakSymmetry(problem: Problem, model: Model, goesTo: readonly (readonly Condition[])[]): void {
  const likeness = problem.ovens.map((oven, index) =>
    JSON.stringify([oven, problem.groups.map((group) => group.candidates.includes(index))]),
  );
  for (const like of new Set(likeness)) {
    const ovens = likeness.flatMap((other, index) => (other === like ? [index] : []));
    let place = 0;
    problem.groups.forEach(({ candidates }, group) => {
      if (ovens.length < 2 || !candidates.includes(ovens[0] ?? -1)) return;
      place += 1;
      candidates.forEach((oven, way) => {
        if (ovens.indexOf(oven) >= place) model.oneOf(not(goesTo[group]?.[way] ?? false));
      });
    });
  }
}

class Ovens {
  private readonly problem: Problem;
  private readonly model: Model;
  private readonly goesTo: readonly (readonly Condition[])[];
  /** By demand: when its load stays in from the demand before it, and to the one after it. */
  private readonly stays: { readonly before: Condition; readonly after: Condition }[] = [];

  constructor(problem: Problem, model: Model, goesTo: readonly (readonly Condition[])[]) {
    this.problem = problem;
    this.model = model;
    this.goesTo = goesTo;
    this.stays = problem.demands.map(() => ({ before: false, after: false }));
    const needsDoors = problem.demands.some((demand) => demand.shut);
    if (needsDoors) for (const { demands } of problem.groups) this.defineStays(demands);
  }

  private on(group: number, oven: number): Condition {
    const way = this.problem.groups[group]?.candidates.indexOf(oven) ?? -1;
    return way < 0 ? false : (this.goesTo[group]?.[way] ?? false);
  }

  private isEmpty(demand: StateDemand): Condition {
    return this.model.after(demand.end, demand.start, 0);
  }

  /** A load stays in when the neighbour meets it and has a length, or has none and stays in itself. */
  private defineStays(demands: readonly number[]): void {
    const before = this.stayingWith(demands, (here, next) => this.model.after(here.start, next.end, 0));
    const after = this.stayingWith(demands.toReversed(), (here, next) =>
      this.model.after(next.start, here.end, 0),
    );
    demands.forEach((index, place) => {
      this.stays[index] = {
        before: before[place] ?? false,
        after: after[demands.length - 1 - place] ?? false,
      };
    });
  }

  private stayingWith(
    demands: readonly number[],
    meets: (here: StateDemand, next: StateDemand) => Condition,
  ): Condition[] {
    const { model } = this;
    let nextStays: Condition = false;
    return demands.map((index, place) => {
      const here = this.problem.demands[index];
      const next = this.problem.demands[demands[place - 1] ?? -1];
      if (!here || !next) return false;
      const met = meets(here, next);
      const lasts = not(this.isEmpty(next));
      if (met === false || (lasts === false && nextStays === false)) nextStays = false;
      else {
        const stay = model.choice();
        model.oneOf(not(stay), met);
        model.oneOf(not(stay), lasts, nextStays);
        nextStays = stay;
      }
      return nextStays;
    });
  }

  /** Order, changes and warming up within a group, wherever it goes. */
  withinGroup(group: number): void {
    const { problem, model } = this;
    const { demands, candidates } = problem.groups[group] ?? { demands: [], candidates: [] };
    demands.forEach((index, place) => {
      const demand = problem.demands[index];
      if (!demand) return;
      const empty = this.isEmpty(demand);
      const before = problem.demands[demands[place - 1] ?? -1];
      if (before) model.require(model.after(before.end, demand.start, 0));
      for (const candidate of candidates) {
        const oven = problem.ovens[candidate];
        if (!oven) continue;
        const elsewhere = not(this.on(group, candidate));
        for (const limit of this.limits(demand, oven)) model.oneOf(elsewhere, limit, empty);
        for (const earlier of demands.slice(0, place)) {
          const other = problem.demands[earlier];
          if (!other || !excludes(oven, other, demand)) continue;
          const wait = demand.takesOver ? 0 : changeTime(oven, other, demand);
          if (wait > 0)
            model.oneOf(elsewhere, model.after(other.end, demand.start, wait), this.isEmpty(other), empty);
        }
      }
    });
  }

  private limits(demand: StateDemand, oven: StateResource): Condition[] {
    const { model } = this;
    const found: Condition[] = [];
    const warmUp = oven.warmUp[demand.state];
    const ready = oven.ready?.[demand.state];
    if (warmUp !== undefined && oven.begin !== undefined)
      found.push(model.after(oven.begin, demand.start, warmUp));
    if (warmUp !== undefined && oven.finish !== undefined)
      found.push(model.after(demand.end, oven.finish, 0));
    if (ready !== undefined && !demand.takesOver) found.push(model.notBefore(demand.start, ready));
    return found;
  }

  /** Two demands of different groups on each state resource that both may go to. */
  pair(a: StateDemand, b: StateDemand): void {
    const { problem, model } = this;
    for (const index of problem.groups[a.group]?.candidates ?? []) {
      const oven = problem.ovens[index];
      const bOn = this.on(b.group, index);
      if (!oven || bOn === false) continue;
      const otherwise = [not(this.on(a.group, index)), not(bOn), this.isEmpty(a), this.isEmpty(b)];
      if (excludes(oven, a, b)) {
        model.oneOf(
          ...otherwise,
          model.after(a.end, b.start, changeTime(oven, a, b)),
          model.after(b.end, a.start, changeTime(oven, b, a)),
        );
      } else if (a.amount + b.amount > oven.capacity) {
        model.oneOf(...otherwise, model.after(a.end, b.start, 0), model.after(b.end, a.start, 0));
      } else {
        if (a.shut) this.keepOut(a, b, otherwise);
        if (b.shut) this.keepOut(b, a, otherwise);
      }
    }
  }

  /** Nothing of the mover goes in or out strictly inside the stretch that is shut. */
  private keepOut(still: StateDemand, mover: StateDemand, otherwise: readonly Condition[]): void {
    const { model } = this;
    const stays = this.stays[this.problem.demands.indexOf(mover)];
    for (const side of ['before', 'after'] as const) {
      const point = side === 'before' ? mover.start : mover.end;
      model.oneOf(
        ...otherwise,
        model.after(point, still.start, 0),
        model.after(still.end, point, 0),
        stays?.[side] ?? false,
      );
    }
  }

  /** What the demands on a state resource take of it. */
  capacity(index: number): void {
    const { problem, model } = this;
    const oven = problem.ovens[index];
    if (!oven) return;
    const tasks = problem.demands.flatMap((demand) => {
      const present = this.on(demand.group, index);
      if (present === false || demand.amount <= 0) return [];
      if (demand.amount > oven.capacity) model.oneOf(not(present), this.isEmpty(demand));
      return [
        { from: model.place(demand.start), to: model.place(demand.end), amount: demand.amount, present },
      ];
    });
    if (tasks.length > 0) model.resources.push({ capacity: oven.capacity, tasks });
  }
}

/** Whether two demands cannot overlap in a state resource. */
export function excludes(oven: StateResource, a: StateDemand, b: StateDemand): boolean {
  const may = (one: StateDemand, other: StateDemand): boolean =>
    oven.together[one.state]?.[other.state] ?? false;
  return a.alone || b.alone || !may(a, b) || !may(b, a);
}

export const changeTime = (oven: StateResource, from: StateDemand, to: StateDemand): number =>
  oven.change[from.state]?.[to.state] ?? 0;
