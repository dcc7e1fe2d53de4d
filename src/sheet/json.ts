import type { Hands, Workload } from '../plan/index.ts';
import type { Promised, Timetable } from '../planner/index.ts';
import type { EpochMs } from '../units/index.ts';
import type { Limit } from './limits.ts';
import type { OvenLane } from './ovens.ts';
import { promiseJson, type PromiseJson } from './promise.ts';
import type { Stretch } from './ready.ts';
import { rundown, type Entry, type Rundown } from './rundown.ts';
import { heatWords } from './words.ts';

/** The run sheet for programs. Moments are ISO 8601 in UTC, lengths whole seconds, temperatures as words are as in the plan. */
export interface RunSheetJson {
  /** Goes up when a field changes its meaning or goes away. */
  readonly version: 2;
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
  /** What is to stand ready before each stretch of work. */
  readonly ready: readonly RunSheetJsonReady[];
  /** What must not wait, as latest times, in their order. */
  readonly limits: readonly RunSheetJsonLimit[];
  /** How many cooks are wanted when. */
  readonly hands: readonly {
    readonly at: string;
    readonly end: string;
    readonly busy: number;
    readonly near: number;
  }[];
  readonly ovens: readonly RunSheetJsonOven[];
  /** Whether the timetable holds whatever happens within the ranges; left out where that was not asked. */
  readonly promise?: PromiseJson;
}

export type RunSheetJsonEntry =
  | {
      readonly kind: 'step';
      readonly at: string;
      readonly end: string;
      readonly seconds: number;
      /** `component.step`, as in the plan; with several plans `plan/component.step`. */
      readonly step: string;
      readonly component: string;
      readonly action: string;
      readonly hands: Hands;
      /** Where it is done: an oven, a shelf in the cold, the hob, or `bench`. */
      readonly place: string;
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
    }
  | {
      readonly kind: 'service';
      readonly at: string;
      /** The names of the plans that are served. */
      readonly plans: readonly string[];
    };

export interface RunSheetJsonReady {
  readonly at: string;
  readonly end: string;
  /** Components, as the sheet calls them, whose first step lies in the stretch. */
  readonly weigh: readonly string[];
  readonly tools: readonly { readonly item: string; readonly count: number }[];
  /** Shelves in the cold to be cleared. */
  readonly room: readonly { readonly item: string; readonly count: number }[];
  readonly cold: readonly {
    readonly what: string;
    readonly shelf: string;
    readonly at: string;
    readonly use: string;
  }[];
  readonly ovens: readonly {
    readonly oven: string;
    readonly heat: string;
    readonly at: string;
    readonly hotBy: string;
  }[];
  readonly probes: readonly string[];
}

/** `start`: the step begins within `seconds` of the end of the one before it. `use`: the component is used up, or served, within them. */
export interface RunSheetJsonLimit {
  readonly kind: 'start' | 'use';
  readonly component: string;
  /** The step that must begin; null for a keeping time. */
  readonly step: string | null;
  readonly seconds: number;
  readonly planned: string;
  readonly latest: string;
}

export interface RunSheetJsonOven {
  readonly oven: string;
  readonly demands: readonly {
    readonly step: string;
    readonly at: string;
    readonly end: string;
    readonly heat: string;
    readonly door: string;
    readonly shelves: number;
  }[];
  /** Its temperature in degrees Celsius at the kitchen's rates: straight lines. */
  readonly course: readonly {
    readonly at: string;
    readonly end: string;
    readonly fromC: number;
    readonly toC: number;
    readonly kind: 'warms' | 'falls' | 'holds' | 'off';
  }[];
}

/** ISO 8601 in UTC. */
export const iso = (moment: EpochMs): string => new Date(moment).toISOString();

/** The timetable as plain data with a stable form. */
export const runSheetJson = (workload: Workload, timetable: Timetable, promise?: Promised): RunSheetJson => ({
  ...sheetJson(rundown(workload, timetable)),
  ...(promise && { promise: promiseJson(promise) }),
});

/** What was made ready for reading, as plain data. */
export function sheetJson(sheet: Rundown): RunSheetJson {
  return {
    version: 2,
    timeZone: sheet.timeZone,
    plans: sheet.plans.map((plan) => ({ ...plan, service: iso(plan.service) })),
    begin: sheet.begin ? iso(sheet.begin.at) : null,
    entries: sheet.entries.map(entryJson),
    ready: sheet.stretches.map(readyJson),
    limits: sheet.limits.map(limitJson),
    hands: sheet.hands.map(({ at, end, busy, near }) => ({ at: iso(at), end: iso(end), busy, near })),
    ovens: sheet.ovens.map(ovenJson),
  };
}

function entryJson(entry: Entry): RunSheetJsonEntry {
  if (entry.kind === 'service')
    return { kind: 'service', at: iso(entry.at), plans: entry.plans.map(({ name }) => name) };
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
    place: entry.place,
    oven: entry.oven ?? null,
    until: entry.until ?? null,
    uses: step.uses.map(({ item, count }) => ({ item, count })),
    holds: step.holds.map(({ item, count, until }) => ({ item, count, until })),
    caution: step.caution ?? null,
  };
}

const readyJson = ({ at, end, weigh, tools, room, cold, ovens, probes }: Stretch): RunSheetJsonReady => ({
  at: iso(at),
  end: iso(end),
  weigh,
  tools,
  room,
  cold: cold.map((taken) => ({ ...taken, at: iso(taken.at) })),
  ovens: ovens.map(({ oven, heat, at: set, hotBy }) => ({
    oven,
    heat: heatWords(heat),
    at: iso(set),
    hotBy: iso(hotBy),
  })),
  probes,
});

const limitJson = (limit: Limit): RunSheetJsonLimit => ({
  kind: limit.kind,
  component: limit.component,
  step: limit.kind === 'start' ? limit.step : null,
  seconds: limit.kind === 'start' ? limit.within : limit.keeps,
  planned: iso(limit.planned),
  latest: iso(limit.latest),
});

const ovenJson = ({ name, demands, course }: OvenLane): RunSheetJsonOven => ({
  oven: name,
  demands: demands.map(({ step, at, end, heat, door, shelves }) => ({
    step,
    at: iso(at),
    end: iso(end),
    heat: heatWords(heat),
    door,
    shelves,
  })),
  course: course.map(({ at, end, from, to, kind }) => ({
    at: iso(at),
    end: iso(end),
    fromC: Math.round(from * 10) / 10,
    toC: Math.round(to * 10) / 10,
    kind,
  })),
});
