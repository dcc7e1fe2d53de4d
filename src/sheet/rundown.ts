import type { Component, Step, StepId, Workload } from '../plan/index.ts';
import type { OvenSetting, PlannedStep, Timetable } from '../planner/index.ts';
import {
  daysBetween,
  formatDuration,
  localDate,
  roughly,
  secondsBetween,
  wallClock,
  weekday,
  type EpochMs,
} from '../units/index.ts';
import { claimWords, heatWords, lengthWords, triggerWords } from './words.ts';

/** A timetable made ready for reading: what every form of the run sheet is written from. */
export interface Rundown {
  readonly timeZone: string;
  readonly plans: readonly PlanHead[];
  /** When the first thing has to be done, and what it is. */
  readonly begin: { readonly at: EpochMs; readonly what: string } | undefined;
  readonly entries: readonly Entry[];
  readonly windows: readonly string[];
}

export interface PlanHead {
  readonly name: string;
  readonly title: string;
  readonly makes: string;
  readonly service: EpochMs;
}

export type Entry = StepEntry | OvenEntry;

export interface StepEntry {
  readonly kind: 'step';
  readonly at: EpochMs;
  readonly end: EpochMs;
  readonly label: string;
  readonly step: Step;
  readonly oven?: string;
  /** How long, what ends it, the oven, equipment: one clause each. */
  readonly details: readonly string[];
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

export function rundown(workload: Workload, timetable: Timetable): Rundown {
  const { timeZone } = workload.kitchen;
  const known = new Map<StepId, Known>(
    workload.components.flatMap((component) =>
      component.steps.map((step) => [step.id, { step, component }] as const),
    ),
  );
  const naming: Naming = { workload, known };
  const entries = [
    ...timetable.settings.map((setting) => ovenEntry(naming, setting)),
    ...timetable.steps.flatMap((planned) => stepEntry(naming, planned)),
  ].toSorted((a, b) => a.at - b.at);
  const [first] = entries;
  return {
    timeZone,
    plans: workload.plans.flatMap((plan, index): PlanHead[] => {
      const service = timetable.service[index];
      if (service === undefined) return [];
      return [{ name: plan.name, title: plan.title, makes: `${plan.makes.count} ${plan.makes.of}`, service }];
    }),
    begin: first && {
      at: first.at,
      what: first.kind === 'step' ? `${first.label}, ${first.step.action}` : ovenWords(first),
    },
    entries,
    windows: windows(naming, timetable),
  };
}

interface Known {
  readonly step: Step;
  readonly component: Component;
}

interface Naming {
  readonly workload: Workload;
  readonly known: ReadonlyMap<StepId, Known>;
}

/** A component's short name; with its plan where another plan has one of that name. */
const labelOf = ({ workload }: Naming, component: Component): string =>
  workload.components.some((other) => other !== component && other.name === component.name)
    ? component.id
    : component.name;

function nameOf(naming: Naming, id: StepId): string {
  const found = naming.known.get(id);
  return found ? `${labelOf(naming, found.component)}, ${found.step.name}` : id;
}

function stepEntry(naming: Naming, planned: PlannedStep): StepEntry[] {
  const found = naming.known.get(planned.step);
  if (!found) return [];
  const { step, component } = found;
  return [
    {
      kind: 'step',
      at: planned.start,
      end: planned.end,
      label: labelOf(naming, component),
      step,
      ...(planned.oven !== undefined && { oven: planned.oven }),
      details: [
        lengthWords(step, secondsBetween(planned.start, planned.end)),
        ...(step.until ? [`until ${triggerWords(step.until)}`] : []),
        ...(step.oven ? [inOven(step.oven, planned.oven ?? 'oven')] : []),
        ...equipment(naming, step),
      ],
    },
  ];
}

function inOven(demand: NonNullable<Step['oven']>, oven: string): string {
  const shelves = demand.shelves === 1 ? '' : `, ${demand.shelves} shelves`;
  const door = demand.door === 'usable' ? '' : `, door ${demand.door}`;
  const heat = demand.heat.kind === 'off' ? ', off' : ` at ${heatWords(demand.heat)}`;
  return `in ${oven}${heat}${door}${shelves}`;
}

function equipment(naming: Naming, step: Step): string[] {
  const uses = step.uses.length > 0 ? [`with ${step.uses.map(claimWords).join(', ')}`] : [];
  return [
    ...uses,
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

export const ovenWords = ({ oven, setting }: OvenEntry): string =>
  setting.heat.kind === 'off' ? `${oven} off` : `${oven} to ${heatWords(setting.heat)}`;

/** What must not wait: every keeping time, and every longest wait between two steps, with what is planned of it. */
function windows(naming: Naming, timetable: Timetable): string[] {
  const planned = new Map(timetable.steps.map((entry) => [entry.step, entry]));
  return naming.workload.components.flatMap((component) => {
    const found: string[] = [];
    const label = labelOf(naming, component);
    component.steps.forEach((step, place) => {
      const before = component.steps[place - 1];
      const [here, earlier] = [planned.get(step.id), before && planned.get(before.id)];
      if (!before || !here || !earlier || step.within === undefined) return;
      const wait = secondsBetween(earlier.end, here.start);
      const limit = step.within === 0 ? 'at once' : `within ${formatDuration(step.within)}`;
      found.push(
        `${label}: ${step.name} ${limit} after ${before.name}${wait > 0 ? ` (planned: ${roughly(wait)})` : ''}`,
      );
    });
    if (component.keeps !== undefined)
      found.push(`${label}: keeps ${formatDuration(component.keeps)} ${kept(naming, component, timetable)}`);
    return found;
  });
}

function kept(naming: Naming, component: Component, timetable: Timetable): string {
  const last = component.steps.at(-1)?.id;
  const made = timetable.steps.find((entry) => entry.step === last);
  const users = timetable.steps.filter(
    (entry) => last !== undefined && naming.known.get(entry.step)?.step.needs.includes(last),
  );
  const lastUse = users.toSorted((a, b) => a.end - b.end).at(-1);
  const until = lastUse?.end ?? timetable.service[component.plan];
  if (!made || until === undefined) return 'once finished';
  const what = lastUse ? `to the end of ${nameOf(naming, lastUse.step)}` : 'to service';
  return `from finished ${what} (planned: ${roughly(secondsBetween(made.end, until))})`;
}

/** `19:30`, with the weekday where the day is not that of `reference`. */
export function clockFrom(moment: EpochMs, reference: EpochMs, timeZone: string): string {
  const clock = wallClock(moment, timeZone);
  return daysBetween(reference, moment, timeZone) === 0 ? clock : `${weekday(moment, timeZone)} ${clock}`;
}

/** `Fri 2027-05-14`. */
export const dayOf = (moment: EpochMs, timeZone: string): string =>
  `${weekday(moment, timeZone)} ${localDate(moment, timeZone)}`;

/** Entries in stretches that lie on one day of the kitchen. */
export function byDay(
  entries: readonly Entry[],
  timeZone: string,
): { readonly day: string; readonly entries: Entry[] }[] {
  const days: { day: string; entries: Entry[] }[] = [];
  for (const entry of entries) {
    const day = dayOf(entry.at, timeZone);
    const current = days.at(-1);
    if (current?.day === day) current.entries.push(entry);
    else days.push({ day, entries: [entry] });
  }
  return days;
}
