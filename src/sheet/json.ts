import type { Hands, Workload } from '../plan/index.ts';
import type { Timetable } from '../planner/index.ts';
import type { EpochMs } from '../units/index.ts';
import { rundown, type Entry } from './rundown.ts';
import { heatWords, triggerWords } from './words.ts';

/** The run sheet for programs. Moments are ISO 8601 in UTC, lengths whole seconds. */
export interface RunSheetJson {
  /** Goes up when a field changes its meaning or goes away. */
  readonly version: 1;
  readonly timeZone: string;
  readonly plans: readonly {
    readonly name: string;
    readonly title: string;
    readonly makes: string;
    readonly service: string;
  }[];
  /** When the first thing has to be done; null for a workload without steps. */
  readonly begin: string | null;
  /** In order of time. */
  readonly entries: readonly RunSheetJsonEntry[];
  /** What must not wait, as lines for people. */
  readonly windows: readonly string[];
}

export type RunSheetJsonEntry =
  | {
      readonly kind: 'step';
      readonly at: string;
      readonly end: string;
      readonly seconds: number;
      /** `component.step`, as in the plan. */
      readonly step: string;
      readonly component: string;
      readonly action: string;
      readonly hands: Hands;
      /** The oven it is in; null for a step without one. */
      readonly oven: string | null;
      /** What ends it beside its length, in words; null where its length alone does. */
      readonly until: string | null;
      readonly uses: readonly { readonly item: string; readonly count: number }[];
      readonly holds: readonly { readonly item: string; readonly count: number; readonly until: string }[];
      readonly caution: string | null;
    }
  | {
      readonly kind: 'oven';
      readonly at: string;
      readonly hotBy: string;
      readonly oven: string;
      /** `220 C` or `off`. */
      readonly heat: string;
      /** The step it is for. */
      readonly step: string;
    };

const iso = (moment: EpochMs): string => new Date(moment).toISOString();

/** The timetable as plain data with a stable form. */
export function runSheetJson(workload: Workload, timetable: Timetable): RunSheetJson {
  const sheet = rundown(workload, timetable);
  return {
    version: 1,
    timeZone: sheet.timeZone,
    plans: sheet.plans.map((plan) => ({ ...plan, service: iso(plan.service) })),
    begin: sheet.begin ? iso(sheet.begin.at) : null,
    entries: sheet.entries.map(entryJson),
    windows: sheet.windows,
  };
}

function entryJson(entry: Entry): RunSheetJsonEntry {
  if (entry.kind === 'oven') {
    return {
      kind: 'oven',
      at: iso(entry.at),
      hotBy: iso(entry.hotBy),
      oven: entry.oven,
      heat: heatWords(entry.setting.heat),
      step: entry.setting.step,
    };
  }
  const { step } = entry;
  return {
    kind: 'step',
    at: iso(entry.at),
    end: iso(entry.end),
    seconds: (entry.end - entry.at) / 1000,
    step: step.id,
    component: step.component,
    action: step.action,
    hands: step.hands,
    oven: entry.oven ?? null,
    until: step.until ? triggerWords(step.until) : null,
    uses: step.uses.map(({ item, count }) => ({ item, count })),
    holds: step.holds.map(({ item, count, until }) => ({ item, count, until })),
    caution: step.caution ?? null,
  };
}
