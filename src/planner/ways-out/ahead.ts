import type { Component, Step, Workload } from '../../plan/index.ts';
import {
  hours,
  localDate,
  momentOf,
  plus,
  seconds,
  workingStretches,
  type EpochMs,
  type Seconds,
} from '../../units/index.ts';
import type { Timetable } from '../timetable.ts';
import { ageIn } from './candidates.ts';
import { eased, type Asked, type Easing } from './easing.ts';
import type { Suspects } from './suspects.ts';
import { holds, type Trial } from './trial.ts';
import type { WayOut } from './ways-out.ts';
import { easingWords } from './words.ts';

/** More components than this are not tried. */
const COMPONENTS = 3;
/** Nobody begins in the evening what is to be done the day before; where the kitchen has hours they say when a day ends. */
const EVENING = 20;
const AN_HOUR = 3600;
/** It is made in the last hours of the day before, not earlier. */
const LAST_HOURS = hours(4);

/** Components that could be made the day before, if they kept (or one of their rests could last) until they are used. */
export function madeAhead(asked: Asked, suspects: Suspects, tries: Trial): WayOut[] {
  const { components } = asked.workload;
  const rests = components.flatMap((component) =>
    component.steps.flatMap((step) =>
      suspects.rests.includes(step.id) ? [() => restOvernight(asked, component, step, tries)] : [],
    ),
  );
  const kept = components.flatMap((component) =>
    suspects.keeps.includes(component.id) ? [() => keptOvernight(asked, component, tries)] : [],
  );
  return [...kept, ...rests].slice(0, COMPONENTS).flatMap((attempt) => attempt());
}

/** When a component would have to be done the day before its service; nothing where that has passed. */
function evening({ workload, request }: Asked, component: Component): EpochMs | undefined {
  const { service, now } = request;
  const served = service.kind === 'at' ? service.moments[component.plan] : undefined;
  if (served === undefined) return undefined;
  const { timeZone, hours: week } = workload.kitchen;
  const midnight = momentOf({ hour: 0, minute: 0, date: localDate(served, timeZone) }, served, timeZone);
  const dayBefore = localDate(plus(midnight, -AN_HOUR), timeZone);
  const usual = momentOf({ hour: EVENING, minute: 0, date: dayBefore }, served, timeZone);
  const end = week
    ? workingStretches(week, timeZone, plus(midnight, -24 * AN_HOUR), midnight).at(-1)?.to
    : usual;
  return end === undefined || (now !== undefined && end <= now) ? undefined : end;
}

/**
 * A component that is done in the evening is planned as a plan of its own, served in that evening, so that the planner knows
 * nothing of days. What uses it stays on the day of service.
 */
function keptOvernight(asked: Asked, component: Component, tries: Trial): WayOut[] {
  const by = evening(asked, component);
  const last = component.steps.at(-1);
  const { workload, request } = asked;
  if (by === undefined || !last || request.service.kind !== 'at' || component.keeps === undefined) return [];
  const served = request.service.moments[component.plan] ?? by;
  const users = workload.components
    .flatMap(({ steps }) => steps)
    .filter((step) => step.needs.includes(last.id));
  // Nobody uses it: it has to keep until its own plan's service, of which the evening is only a part.
  const night = (served - by) / 1000;
  const keeps = seconds(LAST_HOURS + (users.length > 0 ? night : 0));
  const apart = { ...component, plan: workload.plans.length, keeps };
  const found = tries.bestWith({
    workload: split(workload, apart),
    request: { ...request, service: { kind: 'at', moments: [...request.service.moments, by] } },
  });
  if (!found) return [];
  const limit = wholeHours(ageIn(workload, component, found));
  return limit >= night / 2 ? told(asked, component, last, limit, found) : [];
}

const wholeHours = (length: number): Seconds => seconds(Math.ceil(length / AN_HOUR) * AN_HOUR);

/** The workload with one component in a plan of its own, the last. */
function split(workload: Workload, apart: Component): Workload {
  const [first] = workload.plans;
  if (!first) return workload;
  return {
    ...workload,
    plans: [...workload.plans, { ...first, margin: seconds(0), components: [apart.id] }],
    components: workload.components.map((other) => (other.id === apart.id ? apart : other)),
  };
}

/** A rest that is long enough begins the day before. */
function restOvernight(asked: Asked, component: Component, step: Step, tries: Trial): WayOut[] {
  const by = evening(asked, component);
  const { service } = asked.request;
  if (by === undefined || service.kind !== 'at' || step.length.kind !== 'rest') return [];
  const { length } = step;
  const night = ((service.moments[component.plan] ?? by) - by) / 1000;
  const overnight: Step = {
    ...step,
    length: {
      ...length,
      atLeast: seconds(Math.max(length.atLeast, night)),
      atMost: seconds(Math.max(length.atLeast, night + LAST_HOURS)),
    },
  };
  const steps = component.steps.map((other) => (other.id === step.id ? overnight : other));
  const components = asked.workload.components.map((other) =>
    other.id === component.id ? { ...component, steps } : other,
  );
  const found = tries.bestWith({ ...asked, workload: { ...asked.workload, components } });
  const entry = found?.steps.find((other) => other.step === step.id);
  if (!found || !entry) return [];
  return told(asked, component, step, wholeHours((entry.end - entry.start) / 1000), found);
}

/** The change in words, if the timetable passes for the plans that were asked for with the longer limit. */
function told(
  asked: Asked,
  { id: component, steps }: Component,
  upTo: Step,
  limit: Seconds,
  found: Timetable,
): WayOut[] {
  const timetable = { ...found, service: found.service.slice(0, asked.workload.plans.length) };
  const entry = found.steps.find(({ step }) => step === upTo.id);
  if (!entry) return [];
  const by = upTo === steps.at(-1) ? entry.end : entry.start;
  const easing: Easing = { kind: 'make ahead', component, upTo: upTo.id, by, limit };
  if (!holds(eased(asked, easing), timetable)) return [];
  return [{ message: easingWords(asked, [easing], timetable), easings: [easing], unit: AN_HOUR, timetable }];
}
