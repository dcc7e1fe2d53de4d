import type { Preference, Step, StepId, Workload } from '../plan/index.ts';
import type { Calendar } from './calendar.ts';
import {
  endOf,
  startOf,
  type Activity,
  type Lag,
  type Level,
  type Point,
  type Problem,
} from './core/index.ts';
import { draftingOf, extrasAfter, lengthBounds, type Drafting, type Extras } from './drafting.ts';
import { resources } from './extract-claims.ts';
import { lagsOf } from './extract-lags.ts';
import { ovenPart } from './extract-ovens.ts';
import { ladder, wantsHands, type LevelName } from './ladder.ts';
import type { Rule } from './rules.ts';

/** What is asked of a workload, in whole seconds from some base. */
export interface Frame {
  /** Service of each plan (none above 0), or open: all at once, as soon as can be. */
  readonly services: readonly number[] | 'open';
  readonly margins: 'keep' | 'drop';
  readonly prefer: readonly Preference[];
  /** Levels after it are left out. */
  readonly upTo?: LevelName;
  /** Beside the rules of the plan. */
  readonly turns?: readonly Turn[];
  /** Nothing is asked for before it. */
  readonly beginNotBefore: number;
  readonly calendar: Calendar;
}

/** One step is over before another begins, though no rule of the plan says so. */
export interface Turn {
  readonly first: StepId;
  readonly next: StepId;
}

/** What no step is to blame for: service stands still, and work begins before it. */
const NO_RULE = -1;

/** A workload as a scheduling problem, and the way back. */
export interface Extraction {
  readonly problem: Problem;
  /** By the rule numbers of the problem. */
  readonly rules: readonly Rule[];
  /** Steps in the order of the workload, which is that of the first activities. */
  readonly steps: readonly Step[];
  readonly startOf: (step: StepId) => Point;
  readonly endOf: (step: StepId) => Point;
  /** The group of each oven step. */
  readonly groupOf: ReadonlyMap<StepId, number>;
  readonly extras: Extras;
  /** The temperatures that are asked for, by state of the ovens; undefined: off. */
  readonly states: readonly (number | undefined)[];
}

export function extract(workload: Workload, frame: Frame): Extraction {
  const count = workload.components.reduce((sum, { steps }) => sum + steps.length, 0);
  const extras = extrasAfter(count, workload);
  const rules: Rule[] = [];
  const drafting = draftingOf(workload, extras, rules);
  const ovens = workload.kitchen.ovens.map((_, oven) => oven);
  const part = ovenPart(
    drafting,
    ovens.map((oven) => startOf(extras.on(oven))),
    ovens.map((oven) => endOf(extras.off(oven))),
  );
  const problem: Problem = {
    activities: [
      ...drafting.steps.map((step) => activity(drafting, step, frame)),
      ...others(workload, extras, frame),
    ],
    lags: [
      ...lagsOf(drafting, frame.margins),
      ...frameLags(drafting, extras, frame),
      ...(frame.turns ?? []).map(({ first, next }): Lag => ({
        from: drafting.endOf(first),
        to: drafting.startOf(next),
        weight: 0,
        rule: NO_RULE,
      })),
    ],
    resources: resources(drafting),
    ovens: part.ovens,
    demands: part.demands,
    groups: part.groups,
    calendars: frame.calendar.closed ? [{ closed: frame.calendar.closed }] : [],
    objective:
      frame.services === 'open'
        ? [soonest(extras)]
        : ladder(drafting, extras, frame.prefer, frame.calendar.nights, frame.upTo),
  };
  return {
    problem,
    rules,
    steps: drafting.steps,
    startOf: drafting.startOf,
    endOf: drafting.endOf,
    groupOf: part.groupOf,
    extras,
    states: part.states,
  };
}

const soonest = ({ service }: Extras): Level => ({
  name: 'service',
  terms: [{ point: startOf(service(0)), weight: 1 }],
});

function activity(drafting: Drafting, step: Step, frame: Frame): Activity {
  const { least, most } = lengthBounds(step);
  return {
    least,
    // A longest rest is a rule of its own: without it the rest may be longer.
    most: most === least ? most : Infinity,
    rule: drafting.rule({ kind: 'length', step }),
    ...(frame.calendar.closed &&
      wantsHands(step) && { calendar: 0, calendarRule: drafting.rule({ kind: 'hours', step }) }),
  };
}

function others({ plans }: Workload, extras: Extras, { services, beginNotBefore }: Frame): Activity[] {
  const point: Activity = { least: 0, most: 0, rule: NO_RULE };
  const all = Array.from({ length: extras.count }, () => point);
  all[0] = { ...point, release: beginNotBefore };
  if (services === 'open') return all;
  plans.forEach((_, plan) => {
    const served = services[plan] ?? 0;
    all[extras.service(plan) - extras.first] = { ...point, release: served, due: served };
  });
  return all;
}

/** Work begins with the first step or the first oven that is warmed; an oven is hot until the last service at most. */
function frameLags(
  { workload, steps, served, startOf: start, rule }: Drafting,
  extras: Extras,
  { services }: Frame,
): Lag[] {
  const first = startOf(extras.first);
  const lag = (from: Point, to: Point): Lag => ({ from, to, weight: 0, rule: NO_RULE });
  const latest = services === 'open' ? 0 : services.indexOf(Math.max(...services));
  const last = served[latest] ?? first;
  return [
    ...steps.map((step) => ({ ...lag(first, start(step.id)), rule: rule({ kind: 'begin', step }) })),
    ...workload.kitchen.ovens.flatMap((_, oven) => [
      lag(first, startOf(extras.on(oven))),
      lag(startOf(extras.on(oven)), endOf(extras.off(oven))),
      lag(endOf(extras.off(oven)), last),
    ]),
    ...served.map((point) => lag(first, point)),
    ...(services === 'open' ? served.flatMap((point) => [lag(last, point), lag(point, last)]) : []),
  ];
}
