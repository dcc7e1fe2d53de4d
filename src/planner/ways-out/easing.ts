import type { Component, ComponentId, Kitchen, Oven, Step, StepId, Workload } from '../../plan/index.ts';
import {
  plus,
  seconds,
  type ClockTime,
  type DayHours,
  type EpochMs,
  type Seconds,
} from '../../units/index.ts';
import type { PlanRequest } from '../plan.ts';

/** One change that makes a plan easier, as data. `by` says by how much: seconds, or a count of things. */
export type Easing =
  /** Plans by their place in the workload. */
  | { readonly kind: 'serve later'; readonly plans: readonly number[]; readonly by: Seconds }
  | { readonly kind: 'less margin'; readonly plan: number; readonly by: Seconds }
  /** Work may begin before the moment that was given as now. */
  | { readonly kind: 'begin earlier'; readonly by: Seconds }
  /** Working hours of one weekday (0 is Monday) begin earlier or end later. */
  | {
      readonly kind: 'work longer';
      readonly day: number;
      readonly side: 'before' | 'after';
      readonly by: Seconds;
    }
  /** A step may wait longer for the one before it (`within`). */
  | { readonly kind: 'wait longer'; readonly step: StepId; readonly by: Seconds }
  /** A rest may last longer (`at most`). */
  | { readonly kind: 'rest longer'; readonly step: StepId; readonly by: Seconds }
  /** A component may keep longer (`keeps`). */
  | { readonly kind: 'keep longer'; readonly component: ComponentId; readonly by: Seconds }
  | { readonly kind: 'more of an item'; readonly item: string; readonly by: number }
  | { readonly kind: 'more near steps'; readonly by: number }
  | { readonly kind: 'more cooks'; readonly by: number }
  | { readonly kind: 'more shelves'; readonly oven: string; readonly by: number }
  /** One more oven, called `oven`, that heats and cools like the one named. */
  | { readonly kind: 'another oven'; readonly oven: string; readonly like: string }
  /**
   * A component is done the day before, `by` a moment, as far as its last step or one of its rests (`upTo`). It would then have
   * to keep, or to rest, for `limit`.
   */
  | {
      readonly kind: 'make ahead';
      readonly component: ComponentId;
      readonly upTo: StepId;
      readonly by: EpochMs;
      readonly limit: Seconds;
    }
  /** A step takes less time, or a rest needs less. */
  | { readonly kind: 'shorter'; readonly step: StepId; readonly by: Seconds }
  /** A step may follow the one before it sooner (`after`). */
  | { readonly kind: 'follow sooner'; readonly step: StepId; readonly by: Seconds };

/** Changes of which no two are more of the same: a second tray and a third one are two more trays. */
export function merged(easings: readonly Easing[]): readonly Easing[] {
  const found = new Map<string, Easing>();
  for (const easing of easings) {
    const what = JSON.stringify({ ...easing, by: 0 });
    const before = found.get(what);
    // A component is made ahead by a moment, which is nothing to add to.
    if (!before || !('by' in before) || !('by' in easing) || easing.kind === 'make ahead')
      found.set(what, easing);
    else found.set(what, { ...before, by: before.by + easing.by } as Easing);
  }
  return [...found.values()];
}

/** What is to be planned, and what is asked of it. */
export interface Asked {
  readonly workload: Workload;
  readonly request: PlanRequest;
}

/** The workload and request with the change made. What is asked stays as it is where the change does not apply to it. */
export function eased({ workload, request }: Asked, easing: Easing): Asked {
  switch (easing.kind) {
    case 'serve later':
      return { workload, request: servedLater(request, easing.plans, easing.by) };
    case 'begin earlier':
      return {
        workload,
        request: request.now === undefined ? request : { ...request, now: plus(request.now, -1 * easing.by) },
      };
    case 'less margin': {
      const plans = workload.plans.map((plan, index) =>
        index === easing.plan ? { ...plan, margin: seconds(Math.max(0, plan.margin - easing.by)) } : plan,
      );
      return { workload: { ...workload, plans }, request };
    }
    case 'work longer':
    case 'more of an item':
    case 'more near steps':
    case 'more cooks':
    case 'more shelves':
    case 'another oven':
      return { workload: { ...workload, kitchen: richer(workload.kitchen, easing) }, request };
    case 'keep longer':
    case 'make ahead':
    case 'wait longer':
    case 'rest longer':
    case 'shorter':
    case 'follow sooner': {
      const components = workload.components.map((component) => lighter(component, easing));
      return { workload: { ...workload, components }, request };
    }
  }
}

function servedLater(request: PlanRequest, plans: readonly number[], by: Seconds): PlanRequest {
  const { service } = request;
  if (service.kind === 'soonest') return request;
  const moments = service.moments.map((moment, plan) => (plans.includes(plan) ? plus(moment, by) : moment));
  return { ...request, service: { kind: 'at', moments } };
}

type OfKitchen = Easing & {
  readonly kind:
    | 'work longer'
    | 'more of an item'
    | 'more near steps'
    | 'more cooks'
    | 'more shelves'
    | 'another oven';
};

function richer(kitchen: Kitchen, easing: OfKitchen): Kitchen {
  switch (easing.kind) {
    case 'more cooks':
      return { ...kitchen, cooks: kitchen.cooks + easing.by };
    case 'more near steps':
      return { ...kitchen, near: kitchen.near + easing.by };
    case 'more of an item': {
      const known = kitchen.items.some(({ name }) => name === easing.item);
      const one = { name: easing.item, kind: 'tool', count: 0, carriesPieces: false } as const;
      const items = known ? kitchen.items : [...kitchen.items, one];
      return {
        ...kitchen,
        items: items.map((item) =>
          item.name === easing.item ? { ...item, count: item.count + easing.by } : item,
        ),
      };
    }
    case 'more shelves':
      return {
        ...kitchen,
        ovens: kitchen.ovens.map((oven) =>
          oven.name === easing.oven ? { ...oven, shelves: oven.shelves + easing.by } : oven,
        ),
      };
    case 'another oven': {
      const twin = kitchen.ovens.find(({ name }) => name === easing.like);
      const more: Oven[] = twin ? [{ ...twin, name: easing.oven }] : [];
      return { ...kitchen, ovens: [...kitchen.ovens, ...more] };
    }
    case 'work longer':
      return {
        ...kitchen,
        ...(kitchen.hours && {
          hours: kitchen.hours.map((hours, day) =>
            day === easing.day && hours !== 'off' ? longerDay(hours, easing.side, easing.by) : hours,
          ),
        }),
      };
  }
}

const A_DAY = 24 * 60;
const minuteOf = ({ hour, minute }: ClockTime): number => hour * 60 + minute;
const clockAt = (minute: number): ClockTime => ({
  hour: Math.floor(minute / 60) % 24,
  minute: minute % 60,
});

/** The hours of a day with more before or after them; never past midnight before, and never more than 24 hours. */
export function longerDay(hours: DayHours, side: 'before' | 'after', by: Seconds): DayHours {
  const from = minuteOf(hours.from);
  const to = minuteOf(hours.to) > from ? minuteOf(hours.to) : minuteOf(hours.to) + A_DAY;
  const more = Math.round(by / 60);
  return side === 'before'
    ? { from: clockAt(Math.max(0, to - A_DAY, from - more)), to: hours.to }
    : { from: hours.from, to: clockAt(Math.min(from + A_DAY, to + more)) };
}

type OfComponent = Easing & {
  readonly kind: 'keep longer' | 'make ahead' | 'wait longer' | 'rest longer' | 'shorter' | 'follow sooner';
};

function lighter(component: Component, easing: OfComponent): Component {
  switch (easing.kind) {
    case 'keep longer':
      return easing.component === component.id && component.keeps !== undefined
        ? { ...component, keeps: seconds(component.keeps + easing.by) }
        : component;
    case 'make ahead': {
      if (easing.component !== component.id) return component;
      if (component.steps.at(-1)?.id === easing.upTo && component.keeps !== undefined)
        return { ...component, keeps: easing.limit };
      return withStep(component, easing.upTo, (step) =>
        step.length.kind === 'rest' ? { ...step, length: { ...step.length, atMost: easing.limit } } : step,
      );
    }
    case 'wait longer':
      return withStep(component, easing.step, (step) =>
        step.within === undefined ? step : { ...step, within: seconds(step.within + easing.by) },
      );
    case 'rest longer':
      return withStep(component, easing.step, (step) =>
        step.length.kind === 'rest' && step.length.atMost !== undefined
          ? { ...step, length: { ...step.length, atMost: seconds(step.length.atMost + easing.by) } }
          : step,
      );
    case 'shorter':
      return withStep(component, easing.step, (step) => shorter(step, easing.by));
    case 'follow sooner':
      return withStep(component, easing.step, (step) => ({
        ...step,
        after: seconds(Math.max(0, step.after - easing.by)),
      }));
  }
}

const withStep = (component: Component, id: StepId, change: (step: Step) => Step): Component => ({
  ...component,
  steps: component.steps.map((step) => (step.id === id ? change(step) : step)),
});

/** Every bound of the length is less, so that a range stays a range. */
function shorter(step: Step, by: Seconds): Step {
  const less = (length: Seconds): Seconds => seconds(Math.max(0, length - by));
  const { length } = step;
  if (length.kind === 'rest') return { ...step, length: { ...length, atLeast: less(length.atLeast) } };
  const { low, usual, high } = length.range;
  return { ...step, length: { ...length, range: { low: less(low), usual: less(usual), high: less(high) } } };
}
