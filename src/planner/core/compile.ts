import { compileOvens } from './compile-ovens.ts';
import { horizonOf } from './horizon.ts';
import { Model, not, type Condition, type Place } from './model.ts';
import { endOf, startOf, type Problem } from './problem.ts';

/** The whole problem as a model, and which condition says that a group goes to the n-th of its candidates. */
export interface Compiled {
  readonly model: Model;
  readonly goesTo: readonly (readonly Condition[])[];
  /** By level: when each overlap counts, and how much. */
  readonly overlaps: readonly (readonly { readonly condition: Condition; readonly weight: number }[])[];
}

export function compile(problem: Problem): Compiled {
  const places = placesOf(problem);
  const nodes = 1 + Math.max(-1, ...places.map((place) => place.node));
  const model = new Model(nodes, places);
  addTimes(problem, model);
  for (const { from, to, weight } of problem.lags) model.require(model.after(from, to, weight));
  const goesTo = compileOvens(problem, model);
  addCalendars(problem, model);
  for (const { capacity, claims } of problem.resources) {
    const tasks = claims.filter((claim) => claim.amount > 0);
    model.resources.push({
      capacity,
      tasks: tasks.map(({ from, to, amount }) => ({
        from: model.place(from),
        to: model.place(to),
        amount,
        present: true,
      })),
    });
    addPairs(model, capacity, tasks);
  }
  // Once it is known where things can lie, most nights are nobody's.
  model.settle();
  const overlaps = problem.objective.map((level) =>
    (level.overlaps ?? []).map(({ activity, from, to, weight }) => ({
      condition: overlap(model, activity, from, to),
      weight,
    })),
  );
  model.settle();
  return { model, goesTo, overlaps };
}

/** The condition that an activity lies partly within the stretch. */
function overlap(model: Model, activity: number, from: number, to: number): Condition {
  if (to <= from) return false;
  const [start, end] = [startOf(activity), endOf(activity)];
  const apart = [model.notAfter(end, from), model.notBefore(start, to), model.after(end, start, 0)];
  const verdicts = apart.map((one) => model.verdict(one));
  if (verdicts.includes(true)) return false;
  if (!verdicts.includes(undefined)) return true;
  const condition = model.choice();
  model.oneOf(condition, ...apart);
  for (const one of apart) model.oneOf(not(condition), not(one));
  return condition;
}

/** One node for an activity of fixed length, two for one that may be longer. */
function placesOf(problem: Problem): Place[] {
  let nodes = 0;
  return problem.activities.flatMap(({ least, most }): Place[] => {
    const node = nodes;
    nodes += least === most ? 1 : 2;
    return [{ node, offset: 0 }, least === most ? { node, offset: least } : { node: node + 1, offset: 0 }];
  });
}

function addTimes(problem: Problem, model: Model): void {
  const { network } = model;
  const horizon = horizonOf(problem);
  for (let node = 0; node < network.size; node += 1) {
    network.earliest[node] = horizon.from;
    network.latest[node] = horizon.to;
  }
  problem.activities.forEach(({ least, most, release, due }, activity) => {
    const [start, end] = [startOf(activity), endOf(activity)];
    if (most < least) model.isPossible = false;
    if (least !== most) {
      model.require(model.after(start, end, least));
      if (most < Infinity) model.require(model.after(end, start, -most));
    }
    if (release !== undefined) model.require(model.notBefore(start, release));
    if (due !== undefined) model.require(model.notAfter(end, due));
  });
}

function addCalendars(problem: Problem, model: Model): void {
  problem.activities.forEach(({ calendar, most }, activity) => {
    if (calendar === undefined || most <= 0) return;
    const [start, end] = [startOf(activity), endOf(activity)];
    for (const closed of problem.calendars[calendar]?.closed ?? []) {
      if (closed.to <= closed.from) continue;
      model.oneOf(
        model.notAfter(end, closed.from),
        model.notBefore(start, closed.to),
        model.after(end, start, 0),
      );
    }
  });
}

/** Claims too great to lie side by side are put one after the other. */
function addPairs(
  model: Model,
  capacity: number,
  claims: readonly { readonly from: number; readonly to: number; readonly amount: number }[],
): void {
  claims.forEach((claim, i) => {
    if (claim.amount > capacity) model.oneOf(model.after(claim.to, claim.from, 0));
    for (const other of claims.slice(0, i))
      if (claim.amount + other.amount > capacity) model.keepApart(claim.from, claim.to, other.from, other.to);
  });
}
