import { visible, type Workload } from '../plan/index.ts';
import {
  eased,
  waysOut,
  type Easing,
  type PlanRequest,
  type PlanResult,
  type WayOut,
} from '../planner/index.ts';
import { runSheetJson, type RunSheetJson } from '../sheet/index.ts';
import { daysBetween, localDate, wallClock, type EpochMs } from '../units/index.ts';
import { EXIT, Stop } from './exit.ts';
import type { Out } from './out.ts';

/** Why there is no timetable and what would do, for programs. */
export interface RefusalJson {
  readonly refused: string;
  readonly status: 'infeasible' | 'unknown';
  readonly reasons: readonly {
    readonly message: string;
    readonly steps: readonly string[];
    readonly places: readonly { readonly file: string; readonly line: number; readonly column: number }[];
  }[];
  /** The cheapest first. */
  readonly waysOut: readonly {
    readonly message: string;
    /** Lengths in seconds, moments as on the run sheet. */
    readonly changes: readonly ChangeJson[];
    /** Of the last change one unit less does not do: seconds, or a count. */
    readonly unit: number;
    /** The run sheet with the change made. */
    readonly sheet: RunSheetJson;
  }[];
}

type Ahead = Easing & { readonly kind: 'make ahead' };
export type ChangeJson = Exclude<Easing, Ahead> | (Omit<Ahead, 'by'> & { readonly by: string });

/** Ends a command because there is no timetable: in words, and as data. */
export class Refused extends Stop {
  readonly report: RefusalJson;

  constructor(report: RefusalJson, detail: readonly string[]) {
    super(EXIT.problem, report.refused, detail);
    this.report = report;
  }
}

/** Makes what may be refused; where the reader is a program, a refusal is written as data as well. */
export function orRefused<T>(asJson: boolean, out: Out, make: () => T): T {
  try {
    return make();
  } catch (error) {
    if (asJson && error instanceof Refused) out.json(error.report);
    throw error;
  }
}

/**
 * Says why there is no timetable, and what could be changed so that there is one.
 * @param now what the clock shows, for whether a time needs its day beside it.
 */
export function refused(
  workload: Workload,
  request: PlanRequest,
  result: PlanResult & { readonly status: 'infeasible' | 'unknown' },
  now: EpochMs,
): Refused {
  const reasons = result.status === 'infeasible' ? result.reasons : [];
  const ways = result.status === 'infeasible' ? waysOut(workload, request, { reasons }) : [];
  const report: RefusalJson = {
    refused: head(workload, request, result.status, now),
    status: result.status,
    reasons: reasons.map(({ message, steps, places }) => ({
      message,
      steps,
      places: places.map(({ file, line, column }) => ({ file, line, column })),
    })),
    waysOut: ways.map((way) => ({
      message: way.message,
      changes: way.easings.map(changeJson),
      unit: way.unit,
      sheet: sheetOf(workload, request, way),
    })),
  };
  return new Refused(report, detail(report));
}

const changeJson = (easing: Easing): ChangeJson =>
  easing.kind === 'make ahead' ? { ...easing, by: new Date(easing.by).toISOString() } : easing;

function sheetOf(workload: Workload, request: PlanRequest, { easings, timetable }: WayOut): RunSheetJson {
  const changed = easings.reduce(eased, { workload, request });
  return runSheetJson(changed.workload, timetable);
}

function head(
  workload: Workload,
  { service }: PlanRequest,
  status: RefusalJson['status'],
  now: EpochMs,
): string {
  const zone = workload.kitchen.timeZone;
  const clock = (moment: EpochMs): string =>
    daysBetween(now, moment, zone) === 0
      ? wallClock(moment, zone)
      : `${localDate(moment, zone)} ${wallClock(moment, zone)}`;
  const when =
    service.kind === 'soonest' ? '' : ` for ${[...new Set(service.moments.map(clock))].join(' and ')}`;
  return status === 'unknown'
    ? `no timetable${when} was found in the time allowed; there may be one`
    : `there is no timetable${when} that keeps every rule`;
}

/** The reasons, then the ways out; a line each, whatever stands in a name. */
function detail({ status, reasons, waysOut: ways }: RefusalJson): string[] {
  if (status === 'unknown')
    return ['make it simpler: fewer plans at once, a longer hold, another oven or cook'];
  const items = (all: readonly { readonly message: string }[]): string[] =>
    all.map(({ message }) => `- ${visible(message)}`);
  return ways.length > 0
    ? [
        ...items(reasons),
        ways.length === 1 ? 'it would work' : 'it would work with any one of these',
        ...items(ways),
      ]
    : [
        ...items(reasons),
        'no change was found that makes it work: neither a later service, nor a longer hold, nor one more tool, shelf, oven or cook',
      ];
}
