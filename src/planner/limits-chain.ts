import type { Step, StepId, Workload } from '../plan/index.ts';
import { epochMs, hours, nightStretches, plus, type EpochMs } from '../units/index.ts';
import type { PlanRequest } from './plan.ts';
import type { OvenSetting, PlannedStep, Timetable } from './timetable.ts';
import { verify, type VerifiedRule, type Violation } from './verify.ts';

/*
 * What fixes when work begins. Each step of a timetable is moved by a second, and the verifier is asked what breaks: the steps
 * named in its answer would have to move as well. Following that from the first step on leads to service, or to something that
 * nobody can move. So the chain rests on the very rules that a timetable is checked against, and on no list of its own.
 */

/** A step's start or, for a rest, whose ends move apart, one of the two. Both ends of any other step move together. */
export interface Mover {
  readonly step: StepId;
  readonly end: 'start' | 'end';
}

/** Why something cannot be later. */
export type Hindrance =
  | { readonly kind: 'rule'; readonly rule: VerifiedRule; readonly next?: Mover }
  /** It could, but something that is dying would wait longer. */
  | { readonly kind: 'freshness'; readonly next: Mover }
  /** It could, but hands would be wanted at night. */
  | { readonly kind: 'night' };

/** One link: this cannot be later because of that. The last link has no next. */
export interface ChainLink {
  readonly mover: Mover;
  readonly why: Hindrance;
}

/** What is moved, and when it is. */
interface Course {
  readonly workload: Workload;
  readonly timetable: Timetable;
  readonly request: Pick<PlanRequest, 'margins'>;
  readonly stepOf: (id: StepId) => Step | undefined;
  readonly entryOf: (id: StepId) => PlannedStep | undefined;
}

/** When work begins: with the first step, or with the first turn of an oven's knob for heat, if that comes before. */
export function beginOf({ steps, settings }: Timetable): {
  readonly at: EpochMs;
  readonly setting?: OvenSetting;
} {
  const first = steps[0]?.start;
  const setting = settings.find(({ heat }) => heat.kind === 'at');
  if (setting && (first === undefined || setting.at < first)) return { at: setting.at, setting };
  return { at: first ?? epochMs(0) };
}

/**
 * The chain that fixes when work begins, from the first step to what nobody can move: service, or closing time. Where there
 * is nothing to hold the work (no rule, no freshness, no night) the chain ends early.
 */
export function chainOf(
  workload: Workload,
  timetable: Timetable,
  request: Pick<PlanRequest, 'margins'>,
): readonly ChainLink[] {
  const course = courseOf(workload, timetable, request);
  const begins = firstSteps(timetable).map((step): Mover => ({ step, end: 'start' }));
  for (const preferences of [false, true])
    for (const begin of begins) {
      const chain = walk(course, begin, preferences);
      if (chain) return chain;
    }
  return [];
}

/** What work begins with: what the first oven is set for, or every step that starts then, as not all of them may have to. */
function firstSteps(timetable: Timetable): readonly StepId[] {
  const { at, setting } = beginOf(timetable);
  if (setting) return [setting.step];
  return timetable.steps.filter(({ start }) => start === at).map(({ step }) => step);
}

function courseOf(workload: Workload, timetable: Timetable, request: Pick<PlanRequest, 'margins'>): Course {
  const steps = new Map(
    workload.components.flatMap((component) => component.steps.map((step) => [step.id, step] as const)),
  );
  const entries = new Map(timetable.steps.map((entry) => [entry.step, entry]));
  return {
    workload,
    timetable,
    request,
    stepOf: (id) => steps.get(id),
    entryOf: (id) => entries.get(id),
  };
}

const nameOf = ({ step, end }: Mover): string => `${end} ${step}`;

/** Both ends of a step that is no rest are one mover, told by its start. */
const asOne = (course: Course, { step, end }: Mover): Mover => ({
  step,
  end: isRest(course.stepOf(step)) ? end : 'start',
});

/** Goes the shortest way from the first mover to a hindrance without a next. */
function walk(course: Course, first: Mover, preferences: boolean): readonly ChainLink[] | undefined {
  const cameBy = new Map<string, { readonly from: Mover; readonly why: Hindrance } | undefined>([
    [nameOf(first), undefined],
  ]);
  const open: Mover[] = [first];
  const back = (last: ChainLink): readonly ChainLink[] => {
    const links = [last];
    for (let here = cameBy.get(nameOf(last.mover)); here; here = cameBy.get(nameOf(here.from)))
      links.unshift({ mover: here.from, why: here.why });
    return links;
  };
  for (let mover = open.shift(); mover; mover = open.shift()) {
    for (const why of [...hindrances(course, mover), ...(preferences ? tastes(course, mover) : [])]) {
      if (!('next' in why) || !why.next) return back({ mover, why });
      const next = asOne(course, why.next);
      if (cameBy.has(nameOf(next))) continue;
      cameBy.set(nameOf(next), { from: mover, why });
      open.push(next);
    }
  }
  return undefined;
}

const isRest = (step: Step | undefined): boolean => step?.length.kind === 'rest';

/** The rules that keep a mover from being a second later. */
function hindrances(course: Course, mover: Mover): Hindrance[] {
  return verified(course, moved(course, mover)).flatMap((violation) =>
    fromViolation(course, mover, violation),
  );
}

/** What a change of the timetable breaks; how ovens are set follows from where their loads are, and is left aside. */
function verified({ workload, request }: Course, timetable: Timetable): Violation[] {
  return verify(workload, timetable, request.margins ? { margins: request.margins } : {}).filter(
    ({ rule }) => rule !== 'settings' && rule !== 'complete',
  );
}

/** The timetable with one mover a second later. */
function moved({ timetable, stepOf }: Course, { step: id, end }: Mover): Timetable {
  const rest = isRest(stepOf(id));
  const entry = timetable.steps.find(({ step }) => step === id);
  const later = timetable.steps.map((other) => {
    if (other.step !== id) return other;
    return {
      ...other,
      start: rest && end === 'end' ? other.start : plus(other.start, 1),
      end: rest && end === 'start' ? other.end : plus(other.end, 1),
    };
  });
  const settings = timetable.settings.map((setting) => {
    const moves =
      setting.step === id &&
      entry &&
      (!rest || setting.hotBy === (end === 'start' ? entry.start : entry.end));
    return moves ? { ...setting, at: plus(setting.at, 1), hotBy: plus(setting.hotBy, 1) } : setting;
  });
  return {
    ...timetable,
    steps: later.toSorted((a, b) => a.start - b.start),
    settings: settings.toSorted((a, b) => a.at - b.at),
  };
}

function fromViolation(course: Course, mover: Mover, { rule, steps }: Violation): Hindrance[] {
  const own: Hindrance = { kind: 'rule', rule };
  const others = steps.filter((step) => step !== mover.step);
  switch (rule) {
    case 'length':
      return [{ ...own, next: { step: mover.step, end: mover.end === 'start' ? 'end' : 'start' } }];
    case 'order':
    case 'needs':
      return others.map((step) => ({ ...own, next: { step, end: 'start' } }));
    case 'within':
      return others.map((step) => ({ ...own, next: { step, end: 'end' } }));
    case 'keeps':
      return others.map((step) => ({ ...own, next: { step, end: 'end' } }));
    case 'hands':
    case 'near':
    case 'items':
    case 'shelves':
    case 'temperature':
    case 'door':
    case 'oven change':
      return inTheWay(course, mover, others).map((step) => ({ ...own, next: { step, end: 'start' } }));
    default:
      return [own];
  }
}

/** Of the steps that a clash names, those that begin where the mover ends; all of them where none does. */
function inTheWay(course: Course, { step }: Mover, others: readonly StepId[]): readonly StepId[] {
  const end = course.entryOf(step)?.end;
  const next = others.filter((other) => course.entryOf(other)?.start === end);
  return next.length > 0 ? next : others;
}

/** What no rule forbids, but what a better timetable does not do. */
function tastes(course: Course, mover: Mover): Hindrance[] {
  const step = course.stepOf(mover.step);
  const entry = course.entryOf(mover.step);
  const component = course.workload.components.find(({ id }) => id === step?.component);
  if (!step || !entry || !component) return [];
  const found: Hindrance[] = [];
  const place = component.steps.indexOf(step);
  const before = component.steps[place - 1];
  if (mover.end === 'start' || !isRest(step)) {
    if (before && isDying(step.within))
      found.push({ kind: 'freshness', next: { step: before.id, end: 'end' } });
  }
  if (mover.end === 'end' || !isRest(step)) {
    for (const id of step.needs) {
      const made = course.workload.components.find((other) => other.steps.at(-1)?.id === id);
      if (isDying(made?.keeps)) found.push({ kind: 'freshness', next: { step: id, end: 'end' } });
    }
    if (step.hands !== 'free' && atNightfall(course, entry.end)) found.push({ kind: 'night' });
  }
  return found;
}

/** What waits no longer than this is dying while it waits; as in the order of what a timetable is best at. */
const DYING = hours(12);
const isDying = (limit: number | undefined): boolean => limit !== undefined && limit > 0 && limit <= DYING;

/** Whether a moment is the beginning of the night. */
const atNightfall = ({ workload }: Course, moment: EpochMs): boolean =>
  nightStretches(workload.kitchen.timeZone, plus(moment, -3600), plus(moment, 3600)).some(
    ({ from }) => from === moment,
  );
