import { ovenModel, secondsUntilRightRange } from '../heat/index.ts';
import type { Step, StepId, Workload } from '../plan/index.ts';
import {
  resourceOrder,
  type Point,
  type Claim,
  type OrderCause,
  type OrderLag,
  type StateDemand,
} from './core/index.ts';
import type { Turn } from './extract.ts';
import { degreesOf } from './extract-ovens.ts';
import type { PromiseDraft } from './promise-draft.ts';
import type { Timetable } from './timetable.ts';

/** The order of the timetable on everything that is shared. `ahead`: steps for which the oven is set ahead. */
export function drawOrder(draft: PromiseDraft, timetable: Timetable, ahead: ReadonlySet<StepId>): void {
  for (const lag of orderOf(draft, timetable)) {
    // Knobs see to it that an oven is warm.
    if (lag.cause.kind === 'heat') continue;
    const isSetAhead = lag.cause.kind === 'oven' && ahead.has(draft.stepAt(lag.cause.after.start >> 1).id);
    const weight = withAnswers(draft, isSetAhead ? { ...lag, weight: Math.min(lag.weight, 0) } : lag);
    draft.lagFromGone(lag.from, lag.to, weight, {
      kind: 'order',
      what: sharedWords(draft, lag.cause),
      ...sidesOf(draft, lag.cause),
      instead: turnsInstead(draft, lag),
    });
  }
}

/** The last one of each timetable: it stays the same however far a run has come. */
const orders = new WeakMap<Timetable, { readonly of: Workload; readonly order: readonly OrderLag[] }>();

function orderOf(draft: PromiseDraft, timetable: Timetable): readonly OrderLag[] {
  const { workload, extraction, schedule } = draft;
  const known = orders.get(timetable);
  if (known?.of === workload) return known.order;
  const models = workload.kitchen.ovens.map((oven) => ovenModel(oven, workload.kitchen.ambient));
  const order = resourceOrder(extraction.problem, schedule, (oven, before, after) => {
    const model = models[oven];
    const [from, to] = [before, after].map(({ start }) => degreesOf(draft.stepAt(start >> 1)));
    if (!model || to === undefined || before.group === after.group) return 0;
    return Math.ceil(secondsUntilRightRange(model, from ?? model.ambient, to).high);
  });
  orders.set(timetable, { of: workload, order });
  return order;
}

/** The weight of an order with room for answers: what is handed on by an answer is free when the answer has come. */
function withAnswers(draft: PromiseDraft, { from, to, weight, cause }: OrderLag): number {
  const { answer } = draft;
  if (cause.kind === 'empty') return weight - answer;
  const isOneOpening = cause.kind === 'oven' && from % 2 === to % 2 && draft.at(from) === draft.at(to);
  // What goes in by one opening of a door is called while the first is answered; what comes out by one may be over so much apart.
  if (isOneOpening) return weight - (from % 2 === 0 ? 1 : 2) * answer;
  return weight + (draft.isCalled(from) ? answer : 0);
}

type Shared = Exclude<OrderCause, { readonly kind: 'heat' }>;

function sidesOf(draft: PromiseDraft, cause: Shared): { readonly before: Step; readonly step: Step } {
  const [before, after] = cause.kind === 'empty' ? [cause.of, cause.of] : [cause.before, cause.after];
  const stepOf = (side: Claim | StateDemand): Step =>
    draft.stepAt(('from' in side ? side.from : side.start) >> 1);
  return { before: stepOf(before), step: stepOf(after) };
}

/** The other way round; of what is in an oven together, also one after the other as it stands. */
function turnsInstead(draft: PromiseDraft, { from, to, cause }: OrderLag): Turn[] {
  if (cause.kind !== 'resource' && cause.kind !== 'oven') return [];
  const [before, after] = [cause.before, cause.after].map((side) =>
    'from' in side ? side : { from: side.start, to: side.end },
  );
  if (!before || !after) return [];
  const turn = (first: Point, next: Point): Turn => ({
    first: draft.stepAt(first >> 1).id,
    next: draft.stepAt(next >> 1).id,
  });
  const isApart = from === before.to && to === after.from;
  return [...(isApart ? [] : [turn(before.to, after.from)]), turn(after.to, before.from)];
}

function sharedWords({ workload: { kitchen } }: PromiseDraft, cause: Shared): string {
  if (cause.kind === 'empty') return 'no time';
  if (cause.kind === 'oven') return `the ${kitchen.ovens[cause.oven]?.name ?? 'oven'}`;
  if (cause.resource === 0) return 'the hands';
  if (cause.resource === 1) return 'the cook near';
  return `the ${kitchen.items[cause.resource - 2]?.name ?? 'tool'}`;
}
