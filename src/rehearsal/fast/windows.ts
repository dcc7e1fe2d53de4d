import { GRACE_S, type RunSetup } from '../../bench/index.ts';
import { rulesNamed, type CoolingLimit } from '../../heat/index.ts';
import {
  componentNames,
  describeTrigger,
  usersOf,
  type Component,
  type Kitchen,
  type Step,
  type StepId,
  type Trigger,
  type Workload,
} from '../../plan/index.ts';
import { roughly, seconds } from '../../units/index.ts';
import { shareOfFall } from '../probes.ts';
import type { PlayedRun } from './course.ts';

export interface Window {
  /**
   * `within`: a step waits too long for the one after it. `keeps`: a component is used or served too late. `rest`: it rests
   * too long. `cooling`: a chosen cooling rule's time is over before it is that cold. `door`: a door that must stay shut is
   * opened for another load. `service`: it goes out a minute late or more.
   */
  readonly kind: 'within' | 'keeps' | 'rest' | 'cooling' | 'door' | 'service';
  /** The step it hangs on first. Of a service, every last step. */
  readonly steps: readonly StepId[];
  /** Of a service: the first of the plans that go out then. */
  readonly plan?: number;
  /** For people: `shells: bake high may wait 10 min after lid`. */
  readonly words: string;
  /** How it is judged, by the places of steps in the workload; seconds. */
  readonly rule: WindowRule;
}

type WindowRule =
  /** From the end (or start) of one to the start or end of another, or a share of the way to its readiness, no more than so long. */
  | {
      readonly from: { readonly step: number; readonly end: boolean };
      readonly to: {
        readonly steps: readonly number[];
        readonly at: 'start' | 'end' | { readonly share: number };
      };
      readonly most: number;
    }
  /** From the end of a step to a service. */
  | {
      readonly from: { readonly step: number; readonly end: true };
      readonly service: number;
      readonly most: number;
    }
  | { readonly service: number; readonly at: number }
  /** From its start for so long no other load goes in or comes out. */
  | { readonly shut: number; readonly others: readonly number[]; readonly most: number };

/** A service that goes out so much after its time is late, s. */
const LATE_S = 60;

/** Everything that a rehearsal of a run can break. */
export function windowsIn({ workload, timetable, begunAt }: RunSetup): readonly Window[] {
  const steps = workload.components.flatMap((component) => component.steps);
  const place = new Map(steps.map((step, index) => [step.id, index]));
  const at = (step: Step | StepId): number => place.get(typeof step === 'string' ? step : step.id) ?? -1;
  const services = [...new Set(timetable.service)].toSorted((a, b) => a - b);
  const serviceOf = ({ plan }: Component): number =>
    services.indexOf(timetable.service[plan] ?? (NaN as never));
  const inOven = new Map(timetable.steps.map(({ step, oven }) => [step, oven]));
  // Of two plans laid together, each window says whose it is.
  const names = componentNames(workload);
  const told = workload.components.map((each) => ({ ...each, name: names.get(each.id) ?? each.name }));
  return [
    ...told.flatMap((component) => [
      ...component.steps.flatMap((step, index) => [
        ...waits(component, step, component.steps[index - 1], at),
        ...rests(component, step, at),
        ...doors(component, step, steps, inOven, at),
      ]),
      ...keeps(workload, component, at, serviceOf(component)),
      ...coolings(workload.kitchen, component, at),
    ]),
    ...services.map((moment, service): Window => {
      const plans = workload.plans.flatMap((plan, index) =>
        timetable.service[index] === moment ? [{ plan, index }] : [],
      );
      const parts = workload.components.filter(({ plan }) => timetable.service[plan] === moment);
      return {
        kind: 'service',
        steps: parts.flatMap((component) => component.steps.slice(-1).map(({ id }) => id)),
        plan: plans[0]?.index ?? 0,
        words: `${plans.map(({ plan }) => plan.title).join(', ')} served in time`,
        rule: { service, at: moment - begunAt },
      };
    }),
  ];
}

type At = (step: Step | StepId) => number;
const called = ({ name }: Component, step: Step): string => `${name}: ${step.name}`;

function waits(component: Component, step: Step, before: Step | undefined, at: At): Window[] {
  if (!before || step.within === undefined) return [];
  const words =
    step.within === 0
      ? `${called(component, step)} follows ${before.name} at once`
      : `${called(component, step)} may wait ${roughly(step.within)} after ${before.name}`;
  const rule: WindowRule = {
    from: { step: at(before), end: true },
    to: { steps: [at(step)], at: 'start' },
    most: step.within,
  };
  return [{ kind: 'within', steps: [before.id, step.id], words, rule }];
}

function rests(component: Component, step: Step, at: At): Window[] {
  if (step.length.kind !== 'rest' || step.length.atMost === undefined) return [];
  const most = step.length.atMost;
  return [
    {
      kind: 'rest',
      steps: [step.id],
      words: `${called(component, step)} may last ${roughly(most)} at most`,
      rule: { from: { step: at(step), end: false }, to: { steps: [at(step)], at: 'end' }, most },
    },
  ];
}

/** Behind a door that must stay shut, for as long as its step lasts at least. */
function doors(
  component: Component,
  step: Step,
  steps: readonly Step[],
  inOven: ReadonlyMap<StepId, string | undefined>,
  at: At,
): Window[] {
  if (step.oven?.door !== 'shut' || step.length.kind === 'rest') return [];
  const oven = inOven.get(step.id);
  const others = steps.filter(
    (other) => other.component !== component.id && other.oven && inOven.get(other.id) === oven,
  );
  if (oven === undefined || others.length === 0) return [];
  return [
    {
      kind: 'door',
      steps: [step.id],
      words: `the ${oven} stays shut for ${called(component, step)}`,
      rule: { shut: at(step), others: others.map(at), most: step.length.range.low },
    },
  ];
}

function keeps(workload: Workload, component: Component, at: At, service: number): Window[] {
  const last = component.steps.at(-1);
  if (component.keeps === undefined || !last) return [];
  const users = usersOf(workload, component.id);
  const words = `${component.name} keeps ${roughly(component.keeps)}`;
  const from = { step: at(last), end: true } as const;
  const rule: WindowRule =
    users.length === 0
      ? { from, service, most: component.keeps }
      : { from, to: { steps: users.map(at), at: 'end' }, most: component.keeps };
  return [{ kind: 'keeps', steps: [last.id, ...users], words, rule }];
}

/** Food comes off the heat at this at most, C. */
const BOILING = 100;

/**
 * Of each limit of the chosen cooling rules: from the end of the last step on the heat to the moment at which it is that cold.
 * That is on the way to what the first step waits for that is to make it so cold. A limit that no step of the component
 * waits for cannot be judged without a probe.
 */
function coolings(kitchen: Kitchen, component: Component, at: At): Window[] {
  const limits =
    component.cooling === undefined ? [] : (rulesNamed(kitchen.rules)?.[component.cooling] ?? []);
  const heat = component.steps.findLastIndex((step) => isOnTheHeat(kitchen, step));
  if (heat < 0 && component.cooling === 'cooked') return [];
  const first = component.steps[Math.max(0, heat)];
  const cooled = component.steps.slice(heat + 1);
  const goals = cooled.map(({ until }) => (until ? fallsTo(until) : Infinity));
  const hottest = component.cooling === 'cooked' ? BOILING : kitchen.ambient;
  return limits.flatMap((limit, index): Window[] => {
    const place = goals.findIndex((goal) => goal <= limit.to);
    const [cold, goal] = [cooled[place], goals[place]];
    if (!cold || !first || goal === undefined) return [];
    const most = sinceHot(limits, index);
    const share = shareOfFall(Math.min(hottest, ...goals.slice(0, place)), goal, limit.to);
    return [
      {
        kind: 'cooling',
        steps: [first.id, cold.id],
        words: `${component.name} at ${limit.to} C within ${roughly(seconds(most))} (${cold.until ? describeTrigger(cold.until) : cold.name})`,
        rule: {
          from: { step: at(first), end: component.cooling === 'cooked' },
          to: { steps: [at(cold)], at: { share } },
          most,
        },
      },
    ];
  });
}

/** Limits that begin where the one before ends add up to one from the heat. */
function sinceHot(limits: readonly CoolingLimit[], index: number): number {
  const limit = limits[index];
  const before = index > 0 ? limits[index - 1] : undefined;
  const follows = before !== undefined && limit?.from === before.to;
  return (limit?.within ?? 0) + (follows ? sinceHot(limits, index - 1) : 0);
}

const isOnTheHeat = ({ items }: Kitchen, { uses, oven }: Step): boolean =>
  oven?.heat.kind === 'at' ||
  uses.some(({ item }) => items.some(({ name, kind }) => name === item && kind === 'hob'));

/** The lowest temperature that something falls to for a trigger. */
function fallsTo(trigger: Trigger): number {
  switch (trigger.kind) {
    case 'cue':
      return Infinity;
    case 'probe':
    case 'join':
      return trigger.goal.kind === 'falls to' ? trigger.goal.to.celsius : Infinity;
    case 'any':
    case 'all':
      return Math.min(...trigger.of.map(fallsTo));
  }
}

/**
 * Judges every window of a run whose times are known: a press may be late by {@link GRACE_S}, as on the board; a cooling rule knows no
 * grace. What never came to pass in a run that was not served is broken too.
 */
export function judge(windows: readonly Window[], run: PlayedRun): void {
  for (let index = 0; index < windows.length; index += 1) {
    const window = windows[index];
    if (window) run.broken[index] = isBroken(window.rule, run) ? 1 : 0;
  }
}

function isBroken(rule: WindowRule, run: PlayedRun): boolean {
  const { starts, ends, servedAt } = run;
  if ('at' in rule) return !((servedAt[rule.service] ?? NaN) < rule.at + LATE_S * 1000);
  if ('shut' in rule) return isOpened(rule, run);
  const from = (rule.from.end ? ends : starts)[rule.from.step] ?? NaN;
  if (Number.isNaN(from)) return false;
  const latest = from + rule.most * 1000;
  const limit = latest + GRACE_S * 1000;
  if ('service' in rule) return !((servedAt[rule.service] ?? NaN) <= limit);
  for (const step of rule.to.steps) {
    const start = starts[step] ?? NaN;
    const moment =
      rule.to.at === 'start'
        ? start
        : rule.to.at === 'end'
          ? (ends[step] ?? NaN)
          : start + (run.drawn[step] ?? NaN) * rule.to.at.share * 1000;
    if (!(moment <= (typeof rule.to.at === 'object' ? latest : limit))) return true;
  }
  return false;
}

/** Whether another load went in or came out while a door had to stay shut. */
function isOpened(rule: Extract<WindowRule, { shut: number }>, { starts, ends }: PlayedRun): boolean {
  const from = (starts[rule.shut] ?? NaN) + GRACE_S * 1000;
  const to = (starts[rule.shut] ?? NaN) + rule.most * 1000;
  for (const other of rule.others) {
    const [start, end] = [starts[other] ?? NaN, ends[other] ?? NaN];
    if ((start > from && start < to) || (end > from && end < to)) return true;
  }
  return false;
}
