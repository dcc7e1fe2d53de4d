import type { Component, Step, StepId, Workload } from '../plan/index.ts';
import type { EpochMs } from '../units/index.ts';
import type { Progress } from './progress.ts';
import type { OvenSetting, PlannedStep, Timetable } from './timetable.ts';
import { handsAndItems } from './verify-claims.ts';
import { loads } from './verify-ovens.ts';
import { settings } from './verify-settings.ts';
import { times } from './verify-times.ts';

/** What a timetable does wrong. */
export interface Violation {
  readonly rule: VerifiedRule;
  /** The steps concerned; empty where it is the timetable as a whole. */
  readonly steps: readonly StepId[];
  /** What is wrong, for people. */
  readonly message: string;
}

export type VerifiedRule =
  /** Each step once, in order of start, whole seconds, a service for each plan. */
  | 'complete'
  | 'length'
  | 'order'
  | 'within'
  | 'needs'
  | 'keeps'
  | 'service'
  | 'now'
  /** What has happened stands in the timetable as it was. */
  | 'progress'
  /** Hands are asked for in working hours only. */
  | 'hours'
  | 'hands'
  | 'near'
  | 'items'
  /** The oven named is in the kitchen, is the one asked for, and stays the same over oven steps in a row. */
  | 'oven'
  | 'temperature'
  | 'shelves'
  | 'door'
  | 'oven change'
  | 'settings';

export interface VerifyOptions {
  /** Nothing may be asked for before this moment. */
  readonly now?: EpochMs;
  /** Whether the plans' margins before service count; they do by default. */
  readonly margins?: 'keep' | 'drop';
  /**
   * How far the run has come, for a timetable made on the way: nothing may be asked for before its `now`, ovens stand as it
   * says, and what has happened is not judged again.
   */
  readonly progress?: Progress;
  /** Steps whose window (`within`, `keeps`, a longest rest) is known to be broken, as it was told: that alone is let pass. */
  readonly broken?: readonly { readonly steps: readonly StepId[] }[];
}

/** What every check looks at. */
export interface Checked {
  readonly workload: Workload;
  readonly timetable: Timetable;
  readonly options: VerifyOptions;
  readonly entries: readonly Entry[];
  readonly entryOf: (step: StepId) => Entry | undefined;
  /** Nothing may be asked for before it. */
  readonly now: EpochMs | undefined;
}

/** A step of the workload with its place in the timetable, in milliseconds. */
export interface Entry {
  readonly step: Step;
  readonly component: Component;
  /** The step's place in its component. */
  readonly place: number;
  readonly start: number;
  readonly end: number;
  readonly oven: string | undefined;
}

/**
 * Checks a timetable against every rule of its workload, oven settings included. It knows nothing of how timetables are
 * found: it looks at each rule by itself, and shares no code with the search.
 * @returns everything that is wrong; empty when the timetable is right.
 */
export function verify(
  workload: Workload,
  timetable: Timetable,
  options: VerifyOptions = {},
): readonly Violation[] {
  const incomplete = completeness(workload, timetable);
  if (incomplete.length > 0) return incomplete;
  const planned = new Map<StepId, PlannedStep>(timetable.steps.map((entry) => [entry.step, entry]));
  const entries = workload.components.flatMap((component) =>
    component.steps.flatMap((step, place): Entry[] => {
      const entry = planned.get(step.id);
      return entry ? [{ step, component, place, start: entry.start, end: entry.end, oven: entry.oven }] : [];
    }),
  );
  const byStep = new Map(entries.map((entry) => [entry.step.id, entry]));
  const now = options.now ?? options.progress?.now;
  const entryOf = (step: StepId): Entry | undefined => byStep.get(step);
  const checked: Checked = { workload, timetable, options, entries, entryOf, now };
  const found = [...times(checked), ...handsAndItems(checked), ...loads(checked), ...settings(checked)];
  return found.filter((violation) => counts(violation, options));
}

/** What has happened cannot be mended, and windows that are known to be broken have been told. */
function counts({ rule, steps }: Violation, { progress, broken = [] }: VerifyOptions): boolean {
  if (WINDOWS.has(rule) && broken.some((known) => sameSteps(known.steps, steps))) return false;
  const last = steps.at(-1);
  if (!progress || rule === 'progress' || last === undefined) return true;
  // Whatever is not over yet can still be too late.
  if (rule === 'service') return progress.steps[last]?.kind !== 'ended';
  // What an oven held before shows in how it stands now.
  if (rule === 'oven change' && steps.some((step) => progress.steps[step]?.kind === 'ended')) return false;
  // Of two that follow each other the later one is named last; where it has begun, nothing is asked of the earlier one any more.
  const judged = ORDERED.has(rule) ? [last] : steps;
  return judged.some((step) => progress.steps[step]?.kind === 'open');
}

const ORDERED: ReadonlySet<VerifiedRule> = new Set(['order', 'within', 'needs', 'keeps']);
const WINDOWS: ReadonlySet<VerifiedRule> = new Set(['within', 'keeps', 'length']);

const sameSteps = (a: readonly StepId[], b: readonly StepId[]): boolean =>
  a.length === b.length && a.every((step) => b.includes(step));

function completeness(workload: Workload, timetable: Timetable): Violation[] {
  const found: Violation[] = [];
  const report = (steps: readonly StepId[], message: string): void => {
    found.push({ rule: 'complete', steps, message });
  };
  const counts = new Map<StepId, number>();
  for (const { step } of timetable.steps) counts.set(step, (counts.get(step) ?? 0) + 1);
  for (const component of workload.components)
    for (const { id } of component.steps) {
      if (counts.get(id) !== 1) report([id], `${id} stands ${counts.get(id) ?? 0} times in the timetable`);
      counts.delete(id);
    }
  for (const id of counts.keys()) report([id], `${id} is no step of the workload`);
  if (timetable.service.length !== workload.plans.length)
    report([], `${timetable.service.length} services for ${workload.plans.length} plans`);
  timetable.steps.forEach((entry, index) => {
    const before = timetable.steps[index - 1];
    if (before && before.start > entry.start)
      report([before.step, entry.step], 'steps are not in order of start');
    if (entry.start % 1000 !== 0 || entry.end % 1000 !== 0)
      report([entry.step], `${entry.step} does not start and end on whole seconds`);
  });
  return [...found, ...settingsInOrder(timetable.settings)];
}

function settingsInOrder(all: readonly OvenSetting[]): Violation[] {
  return all.flatMap((setting, index): Violation[] => {
    const before = all[index - 1];
    return before && before.at > setting.at
      ? [{ rule: 'complete', steps: [setting.step], message: 'oven settings are not in order of time' }]
      : [];
  });
}
