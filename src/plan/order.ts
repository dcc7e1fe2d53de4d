import { roughly, seconds } from '../units/index.ts';
import { problem, type Report } from './diagnostic.ts';
import type { Hold, LinkedPlan, Need } from './links.ts';
import type { Component, Plan, Step, StepId } from './model.ts';
import { placeWithin, type Node } from './tree.ts';

/** Which steps come before which, by number: each step after the one before it in its component, and after what it needs. */
interface Order {
  readonly steps: readonly Step[];
  readonly numberOf: ReadonlyMap<StepId, number>;
  readonly before: readonly (readonly number[])[];
}

/** Checks that can only be made on a plan as a whole: that it has an order at all, and that holds and keeps agree with it. */
export function checkOrder(plan: LinkedPlan, head: Pick<Plan, 'margin'>, tree: Node, report: Report): void {
  const order = orderOf(plan.components);
  const sorted = sortSteps(order);
  if (sorted.length < order.steps.length) {
    reportCycles(order, new Set(sorted), plan.needs, report);
    return;
  }
  checkHolds(plan.holds, order, sorted, report);
  for (const component of plan.components) checkKeeps(component, order, sorted, head, tree, report);
}

function orderOf(components: readonly Component[]): Order {
  const steps = components.flatMap((component) => component.steps);
  const numberOf = new Map(steps.map((step, number) => [step.id, number]));
  const before = components.flatMap((component) =>
    component.steps.map((step, index) => {
      const previous = component.steps[index - 1];
      return [...(previous ? [previous.id] : []), ...step.needs].flatMap((id) => numberOf.get(id) ?? []);
    }),
  );
  return { steps, numberOf, before };
}

/** Numbers of the steps so that each stands after all that come before it; those on or behind a cycle are left out (Kahn's algorithm). */
function sortSteps({ before }: Order): number[] {
  const waiting = before.map((numbers) => numbers.length);
  const followers: number[][] = before.map(() => []);
  before.forEach((numbers, step) => numbers.forEach((number) => followers[number]?.push(step)));
  const sorted = waiting.flatMap((count, step) => (count === 0 ? [step] : []));
  for (const step of sorted) {
    for (const follower of followers[step] ?? []) {
      const left = (waiting[follower] ?? 0) - 1;
      waiting[follower] = left;
      if (left === 0) sorted.push(follower);
    }
  }
  return sorted;
}

/**
 * Every unsorted step waits for another unsorted one: walking back from any of them must come round.
 * One cycle is told for each place where walks come round.
 */
function reportCycles(
  order: Order,
  sorted: ReadonlySet<number>,
  needs: readonly Need[],
  report: Report,
): void {
  const needOf = new Map(needs.map((need) => [`${need.step} ${need.needed}`, need]));
  const seen = new Set<number>();
  for (let start = 0; start < order.steps.length; start += 1) {
    const walk: number[] = [];
    const onWalk = new Set<number>();
    let at: number | undefined = start;
    while (at !== undefined && !sorted.has(at) && !seen.has(at)) {
      seen.add(at);
      onWalk.add(at);
      walk.push(at);
      at = order.before[at]?.find((number) => !sorted.has(number));
    }
    if (at !== undefined && onWalk.has(at)) reportCycle(walk.slice(walk.indexOf(at)), order, needOf, report);
  }
}

/** `cycle` goes backwards: each step waits for the next, the last for the first. */
function reportCycle(
  cycle: readonly number[],
  order: Order,
  needOf: ReadonlyMap<string, Need>,
  report: Report,
): void {
  const links = cycle.flatMap((number, index) => {
    const waits = order.steps[number]?.id;
    const needed = order.steps[cycle[(index + 1) % cycle.length] ?? number]?.id;
    return needOf.get(`${waits} ${needed}`) ?? [];
  });
  const first = links.toSorted((a, b) => a.place.line - b.place.line || a.place.column - b.place.column)[0];
  if (!first) throw new Error('a cycle without a need');
  const from = links.indexOf(first);
  const told = [...links.slice(from), ...links.slice(0, from)].map(
    ({ step, text }) => `${step} needs ${text}`,
  );
  const shown = told.length > 6 ? [...told.slice(0, 5), `… ${told.length - 5} more`] : told;
  const message = `these wait for each other for ever: ${shown.join('; ')}`;
  report(problem('needs-cycle', first.place, message, 'take one of these needs away'));
}

/** Each hold must end at a step that surely comes after the one that takes it. */
function checkHolds(holds: readonly Hold[], order: Order, sorted: readonly number[], report: Report): void {
  if (holds.length === 0) return;
  // The set of all steps before a step, as the bits of one big number: 2,000 steps are 250 bytes each.
  const allBefore: bigint[] = [];
  for (const step of sorted) {
    let bits = 0n;
    for (const number of order.before[step] ?? []) bits |= (allBefore[number] ?? 0n) | (1n << BigInt(number));
    allBefore[step] = bits;
  }
  for (const { step, until, place } of holds) {
    const [from, to] = [order.numberOf.get(step), order.numberOf.get(until)];
    if (from === undefined || to === undefined) continue;
    if (((allBefore[to] ?? 0n) >> BigInt(from)) & 1n) continue;
    const message = `nothing says that ${until} comes after ${step}`;
    report(problem('bad-hold', place, message, 'name a later step, or one that needs this component'));
  }
}

/** The least a step can last, in seconds. */
const leastOf = ({ length }: Step): number => (length.kind === 'rest' ? length.atLeast : length.range.low);

/** A component must keep at least as long as what has to follow it until its last use. */
function checkKeeps(
  component: Component,
  order: Order,
  sorted: readonly number[],
  { margin }: Pick<Plan, 'margin'>,
  tree: Node,
  report: Report,
): void {
  const { keeps } = component;
  const last = component.steps.at(-1);
  const lastNumber = last && order.numberOf.get(last.id);
  if (keeps === undefined || !last || lastNumber === undefined) return;
  // Longest way, by least lengths, from this component's end to each step's end; -1 where there is no way.
  const sinceEnd = order.steps.map(() => -1);
  sinceEnd[lastNumber] = 0;
  for (const number of sorted) {
    const step = order.steps[number];
    if (!step || number === lastNumber) continue;
    const [previous] = step === undefined ? [] : (order.before[number] ?? []);
    for (const earlier of order.before[number] ?? []) {
      const way = sinceEnd[earlier] ?? -1;
      if (way < 0) continue;
      const isPrevious = earlier === previous && order.steps[earlier]?.component === step.component;
      const wait = isPrevious ? step.after : 0;
      sinceEnd[number] = Math.max(sinceEnd[number] ?? -1, way + wait + leastOf(step));
    }
  }
  const users = order.steps.flatMap((step, number) =>
    step.needs.includes(last.id) ? [{ step, number }] : [],
  );
  const place = placeWithin(tree, 'components', component.name, 'keeps');
  if (users.length === 0 && keeps < margin) {
    const message = `"${component.name}" keeps ${roughly(keeps)}, but all is to be ready ${roughly(margin)} before service`;
    report(problem('keeps-too-short', place, message, 'make margin shorter, or keeps longer'));
  }
  const latest = users.toSorted((a, b) => (sinceEnd[b.number] ?? 0) - (sinceEnd[a.number] ?? 0))[0];
  const least = latest ? (sinceEnd[latest.number] ?? 0) : 0;
  if (latest && least > keeps) {
    const message = `"${component.name}" keeps ${roughly(keeps)}, but its last use, ${latest.step.id}, ends ${roughly(seconds(least))} later at the least`;
    report(problem('keeps-too-short', place, message, 'make keeps longer, or use it sooner'));
  }
}
