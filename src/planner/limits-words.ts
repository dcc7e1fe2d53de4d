import type { Step, StepId, Workload } from '../plan/index.ts';
import { formatDuration, formatTemperature, seconds } from '../units/index.ts';
import { beginOf, type Hindrance } from './limits-chain.ts';
import type { Timetable } from './timetable.ts';
import { lineOf, whenFrom } from './words.ts';
import type { Asked, Easing } from './ways-out/easing.ts';
import { easingWords } from './ways-out/words.ts';

const long = (length: number): string => formatDuration(seconds(length));

const stepOf = (workload: Workload, id: StepId): Step | undefined =>
  workload.components.flatMap((component) => component.steps).find((step) => step.id === id);

function at(workload: Workload, id: StepId): string {
  const step = stepOf(workload, id);
  return step ? ` (${lineOf(workload, step.place)})` : '';
}

/** `work begins at 11:05: tart.roll`, or with the oven: `... at 11:05: oven to 180 C, to be hot for tart.bake at 11:31`. */
export function beginWords(workload: Workload, timetable: Timetable): string {
  const { at: begin, setting } = beginOf(timetable);
  const when = whenFrom(workload.kitchen.timeZone, timetable.service[0] ?? begin);
  if (setting?.heat.kind === 'at')
    return `work begins at ${when(begin)}: ${setting.oven} to ${formatTemperature(setting.heat.temperature)}, to be hot for ${setting.step} at ${when(setting.hotBy)}`;
  const first = timetable.steps.filter(({ start }) => start === begin).map(({ step }) => step);
  return `work begins at ${when(begin)}: ${first.join(' and ') || 'nothing to do'}`;
}

/** How long a step is, and why it cannot come later. */
export function linkWords(workload: Workload, timetable: Timetable, step: Step, why: Hindrance): string {
  const length =
    step.length.kind === 'rest'
      ? `rests at least ${long(step.length.atLeast)}`
      : `takes ${long(step.length.range.usual)}`;
  return `${length} (${lineOf(workload, step.place)}); ${reason(workload, timetable, step, why)}`;
}

function reason(workload: Workload, timetable: Timetable, step: Step, why: Hindrance): string {
  if (why.kind === 'night') return 'if it came later, it would go on into the night';
  const next = why.next && stepOf(workload, why.next.step);
  if (why.kind === 'freshness') return freshness(step, next);
  return next ? pushed(workload, timetable, step, next, why.rule) : last(workload, timetable, step, why.rule);
}

/** Something would wait longer than it has to: no rule against it, but no good. */
function freshness(step: Step, next: Step | undefined): string {
  const before = next?.component === step.component ? next.id : next?.component;
  return `if it came later, ${before} would wait longer for it`;
}

type RuleName = (Hindrance & { readonly kind: 'rule' })['rule'];

function pushed(workload: Workload, timetable: Timetable, step: Step, next: Step, rule: RuleName): string {
  const line = at(workload, next.id);
  switch (rule) {
    case 'length':
      return 'it can last no longer';
    case 'order':
      return next.after > 0
        ? `${next.id} comes ${long(next.after)} after it${line}`
        : `${next.id} follows${line}`;
    case 'needs':
      return `${next.id} needs it${line}`;
    case 'within':
      return `it must follow ${next.id} within ${long(step.within ?? 0)}`;
    case 'keeps': {
      const component = workload.components.find(({ id }) => id === next.component);
      const keeps = component?.keeps ?? 0;
      return `${next.component} keeps only ${long(keeps)}${component ? ` (${lineOf(workload, component.place)})` : ''}`;
    }
    case 'hands':
      return `then ${next.id} takes the hands${line}`;
    case 'near':
      return `then ${next.id} wants a cook near${line}`;
    case 'items':
      return `then ${next.id} takes ${common(step, next)}${line}`;
    case 'shelves':
      return `then ${next.id} takes the shelves of the oven${line}`;
    case 'door':
      return `the door must stay shut for ${next.id}${line}`;
    case 'temperature':
      return `${next.id} wants the oven otherwise${line}`;
    case 'oven change':
      return `the oven needs ${long(wait(timetable, step, next))} from ${heat(step)} to ${heat(next)} for ${next.id}${line}`;
    default:
      return `then comes ${next.id}${line}`;
  }
}

function last(workload: Workload, timetable: Timetable, step: Step, rule: RuleName): string {
  const component = workload.components.find(({ id }) => id === step.component);
  const plan = workload.plans[component?.plan ?? 0];
  const service = timetable.service[component?.plan ?? 0];
  if (rule === 'hours') return 'if it came later, it would be outside the working hours';
  if (rule !== 'service' || service === undefined) return 'it cannot be later';
  const margin = plan && plan.margin > 0 ? `, ${long(plan.margin)} in hand` : '';
  return `service is at ${whenFrom(workload.kitchen.timeZone, timetable.steps[0]?.start ?? service)(service)}${margin}`;
}

/** Seconds from the end of one step to the start of the other. */
function wait({ steps }: Timetable, from: Step, to: Step): number {
  const end = steps.find(({ step }) => step === from.id)?.end ?? 0;
  const start = steps.find(({ step }) => step === to.id)?.start ?? end;
  return Math.max(0, start - end) / 1000;
}

/** What two steps both take. */
function common(step: Step, next: Step): string {
  const own = new Set([...step.uses, ...step.holds].map(({ item }) => item));
  const items = [...next.uses, ...next.holds].map(({ item }) => item);
  return `the ${items.find((item) => own.has(item)) ?? items[0] ?? 'equipment'}`;
}

const heat = ({ oven }: Step): string =>
  oven?.heat.kind === 'at' ? formatTemperature(oven.heat.temperature) : 'off';

const NOTHING: Timetable = { service: [], steps: [], settings: [] };

/** A small change in words: `a minute less on tart.roll (line 12)`. */
export function changeWords(asked: Asked, easing: Easing): string {
  return minuteWords(asked.workload, easing) ?? easingWords(asked, [easing], NOTHING);
}

function minuteWords(workload: Workload, easing: Easing): string | undefined {
  switch (easing.kind) {
    case 'shorter':
      return `a minute less on ${easing.step}${at(workload, easing.step)}`;
    case 'follow sooner':
      return `a minute less between ${easing.step} and the step before it${at(workload, easing.step)}`;
    case 'wait longer':
      return `a minute more that ${easing.step} may wait${at(workload, easing.step)}`;
    case 'rest longer':
      return `a minute more that ${easing.step} may rest${at(workload, easing.step)}`;
    case 'keep longer': {
      const component = workload.components.find(({ id }) => id === easing.component);
      return `a minute more that ${easing.component} may keep${component ? ` (${lineOf(workload, component.place)})` : ''}`;
    }
    case 'less margin':
      return 'a minute less of margin';
    default:
      return undefined;
  }
}
