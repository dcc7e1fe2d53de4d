import type { Component, Step, Workload } from '../plan/index.ts';
import type { OvenSetting, PlannedStep, Timetable } from '../planner/index.ts';
import { clockFrom, formatDuration, later, secondsBetween, type EpochMs } from '../units/index.ts';
import { handsSpans, type HandsSpan } from './hands.ts';
import { limitsOf, type Limit } from './limits.ts';
import { isCold, isHob, labelOf, nameOf, namingOf, type Naming } from './naming.ts';
import { ovenLanes, type OvenLane } from './ovens.ts';
import { stretchesOf, type Stretch } from './ready.ts';
import { claimWords, heatWords, lengthWords, triggerWords } from './words.ts';

/** A timetable made ready for reading: what every form of the run sheet is written from. */
export interface Rundown {
  readonly timeZone: string;
  readonly plans: readonly PlanHead[];
  /** When the first thing has to be done, and what it is. */
  readonly begin: { readonly at: EpochMs; readonly what: string } | undefined;
  /** The end of the last step, or the last service where that is later; undefined where nothing is planned. */
  readonly end: EpochMs | undefined;
  /** Everything that is done, in order of time. */
  readonly entries: readonly Entry[];
  readonly stretches: readonly Stretch[];
  readonly limits: readonly Limit[];
  readonly lanes: readonly ComponentLane[];
  readonly cooks: number;
  readonly hands: readonly HandsSpan[];
  readonly ovens: readonly OvenLane[];
}

export interface PlanHead {
  readonly name: string;
  readonly title: string;
  readonly makes: string;
  readonly service: EpochMs;
}

export type Entry = StepEntry | OvenEntry | ServiceEntry;

export interface StepEntry {
  readonly kind: 'step';
  readonly at: EpochMs;
  readonly end: EpochMs;
  readonly label: string;
  readonly step: Step;
  readonly oven?: string;
  /** Where it is done: an oven, a shelf in the cold, the hob, or the bench. */
  readonly place: string;
  /** What the oven must be like for it: `220 C, door shut, 2 shelves`. */
  readonly heat?: string;
  /** How long it takes: `usually 10 min (9-13 min)`. */
  readonly length: string;
  /** What ends it beside its length. */
  readonly until?: string;
  /** Equipment, without the place: one clause each. */
  readonly equipment: readonly string[];
  /** When it must have begun, where it may not wait. */
  readonly limit?: Limit & { readonly kind: 'start' };
}

export interface OvenEntry {
  readonly kind: 'oven';
  readonly at: EpochMs;
  readonly hotBy: EpochMs;
  readonly oven: string;
  readonly setting: OvenSetting;
  /** The step it is for, as the sheet calls it. */
  readonly purpose: string;
}

/** Plans of one moment are served together. */
export interface ServiceEntry {
  readonly kind: 'service';
  readonly at: EpochMs;
  readonly plans: readonly PlanHead[];
}

/** One component's steps in order. */
export interface ComponentLane {
  readonly label: string;
  readonly title: string;
  /** The index of its plan among the heads. */
  readonly plan: number;
  readonly steps: readonly StepEntry[];
  /** When it is used up, for one that others need. */
  readonly usedBy?: EpochMs;
}

export function rundown(workload: Workload, timetable: Timetable): Rundown {
  const naming = namingOf(workload);
  const plans = headsOf(workload, timetable);
  const limits = limitsOf(naming, timetable);
  const steps = timetable.steps.flatMap((planned) => stepEntry(naming, planned, limits));
  const settings = timetable.settings.map((setting) => ovenEntry(naming, setting));
  // What is set comes before what is done at that moment, and service after both.
  const entries = [...settings, ...steps, ...servicesOf(plans)].toSorted((a, b) => a.at - b.at);
  const first = [...settings, ...steps].toSorted((a, b) => a.at - b.at)[0];
  const ends = [...steps.map(({ end }) => end), ...plans.map(({ service }) => service)];
  const end = first && ends.reduce((last, moment) => later(last, moment), first.at);
  return {
    timeZone: workload.kitchen.timeZone,
    plans,
    begin: first && {
      at: first.at,
      what: first.kind === 'step' ? `${first.label}, ${first.step.action}` : ovenWords(first),
    },
    end,
    entries: first ? entries : [],
    stretches: stretchesOf(naming, timetable),
    limits,
    lanes: workload.components.flatMap((component) => laneOf(naming, component, steps)),
    cooks: workload.kitchen.cooks,
    hands: handsSpans(steps.map(({ at, end: over, step }) => ({ at, end: over, hands: step.hands }))),
    ovens: end === undefined ? [] : ovenLanes(naming, timetable, end),
  };
}

const headsOf = (workload: Workload, timetable: Timetable): PlanHead[] =>
  workload.plans.flatMap((plan, index): PlanHead[] => {
    const service = timetable.service[index];
    if (service === undefined) return [];
    return [{ name: plan.name, title: plan.title, makes: `${plan.makes.count} ${plan.makes.of}`, service }];
  });

const servicesOf = (plans: readonly PlanHead[]): ServiceEntry[] =>
  [...new Set(plans.map(({ service }) => service))].map((at) => ({
    kind: 'service',
    at,
    plans: plans.filter(({ service }) => service === at),
  }));

function stepEntry(naming: Naming, planned: PlannedStep, limits: readonly Limit[]): StepEntry[] {
  const found = naming.known.get(planned.step);
  if (!found) return [];
  const { step, component } = found;
  const limit = limits.find((each) => each.kind === 'start' && each.step === step.id);
  return [
    {
      kind: 'step',
      at: planned.start,
      end: planned.end,
      label: labelOf(naming, component),
      step,
      ...(planned.oven !== undefined && { oven: planned.oven }),
      place: planned.oven ?? placeOf(naming, step),
      ...(step.oven && { heat: demandWords(step.oven) }),
      length: lengthWords(step, secondsBetween(planned.start, planned.end)),
      ...(step.until && { until: triggerWords(step.until) }),
      equipment: equipment(naming, step),
      ...(limit?.kind === 'start' && { limit }),
    },
  ];
}

function placeOf(naming: Naming, { oven, uses }: Step): string {
  const cold = uses.find(({ item }) => isCold(naming, item));
  const hob = uses.find(({ item }) => isHob(naming, item));
  const [place] = [cold, hob].flatMap((claim) => (claim ? [claimWords(claim)] : []));
  return oven ? 'oven' : (place ?? 'bench');
}

function demandWords({ heat, door, shelves }: NonNullable<Step['oven']>): string {
  return [
    heatWords(heat),
    ...(door === 'usable' ? [] : [`door ${door}`]),
    ...(shelves === 1 ? [] : [`${shelves} shelves`]),
  ].join(', ');
}

function equipment(naming: Naming, step: Step): string[] {
  const uses = step.uses.filter(({ item }) => !isCold(naming, item) && !isHob(naming, item));
  return [
    ...(uses.length > 0 ? [`with ${uses.map(claimWords).join(', ')}`] : []),
    ...step.holds.map((claim) => `keep ${claimWords(claim)} until ${nameOf(naming, claim.until)}`),
  ];
}

const ovenEntry = (naming: Naming, setting: OvenSetting): OvenEntry => ({
  kind: 'oven',
  at: setting.at,
  hotBy: setting.hotBy,
  oven: setting.oven,
  setting,
  purpose: nameOf(naming, setting.step),
});

function laneOf(naming: Naming, component: Component, entries: readonly StepEntry[]): ComponentLane[] {
  const steps = entries.filter(({ step }) => step.component === component.id).toSorted((a, b) => a.at - b.at);
  if (steps.length === 0) return [];
  const last = component.steps.at(-1)?.id;
  const users = entries.filter(({ step }) => last !== undefined && step.needs.includes(last));
  const usedBy = users.toSorted((a, b) => a.end - b.end).at(-1)?.end;
  return [
    {
      label: labelOf(naming, component),
      title: component.title,
      plan: component.plan,
      steps,
      ...(usedBy !== undefined && { usedBy }),
    },
  ];
}

/** `deck to 220 C`, or `deck off`. */
export const ovenWords = ({ oven, setting }: Pick<OvenEntry, 'oven' | 'setting'>): string =>
  setting.heat.kind === 'off' ? `${oven} off` : `${oven} to ${heatWords(setting.heat)}`;

/** `deck, 190 C, door shut`; nothing for the bench, where everything is done that is done nowhere else. */
export const placeWords = ({ place, heat }: StepEntry): string =>
  heat === undefined ? (place === 'bench' ? '' : place) : `${place}, ${heat}`;

/** `at once after bake`, or `start by 08:09 (10 min after pipe)`. */
export function limitWords(
  { within, after, latest, planned }: StepEntry['limit'] & object,
  timeZone: string,
): string {
  if (within === 0) return `at once after ${after}`;
  return `start by ${clockFrom(latest, planned, timeZone)} (${formatDuration(within)} after ${after})`;
}

/** What is read in order: the entries, and before each stretch of work what is to stand ready for it. */
export type Line = Entry | { readonly kind: 'ready'; readonly at: EpochMs; readonly stretch: Stretch };

/** The entries with what is to stand ready, which is read as soon as the work before it is over. */
export function linesOf({ entries, stretches }: Rundown): Line[] {
  const lines: Line[] = [];
  let next = 0;
  for (const entry of entries) {
    while (entry.kind !== 'service') {
      const [before, stretch] = [stretches[next - 1], stretches[next]];
      if (!stretch || (before && entry.at <= before.end)) break;
      lines.push({ kind: 'ready', at: entry.at, stretch });
      next += 1;
    }
    lines.push(entry);
  }
  return lines;
}
