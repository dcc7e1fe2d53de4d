import type { Place, Preference, StepId, Workload } from '../plan/index.ts';
import { epochMs, plus, seconds, type EpochMs } from '../units/index.ts';
import { calendarOf } from './calendar.ts';
import { withRestsAtOnce } from './at-once.ts';
import { solve, type LevelResult, type SolveResult } from './core/index.ts';
import { contradictions, explain, type Contradiction } from './explain.ts';
import { extract, type Extraction, type Frame, type Turn } from './extract.ts';
import { impossibleAlone } from './impossible.ts';
import { preferenceOf, type LevelName } from './ladder.ts';
import { lengthBounds } from './drafting.ts';
import type { PlannedStep, Timetable } from './timetable.ts';
import { scheduleOf, timetableOf } from './timetable-of.ts';
import { tooLate } from './too-late.ts';
import { verify } from './verify.ts';

/** When service is: at given moments, one for each plan of the workload, or as soon as can be, all plans at once. */
export type ServiceRequest =
  | { readonly kind: 'at'; readonly moments: readonly EpochMs[] }
  | { readonly kind: 'soonest' };

export interface PlanRequest {
  readonly service: ServiceRequest;
  /** No step and no oven setting may be asked for before it. Needed for the soonest service. */
  readonly now?: EpochMs;
  /**
   * How much the search may do, in counted work (see docs/solver.md), so that it gives the same answer on every machine. As
   * much again is allowed for saying why there is no timetable. By default what takes a second or so.
   */
  readonly effort?: number;
  /** Whether the plans' margins before service count; they do by default. */
  readonly margins?: 'keep' | 'drop';
  /** What is to be favoured, the most important first; by default what the first plan that says anything prefers. */
  readonly prefer?: readonly Preference[];
  /** The last level of the ladder that is asked for; those after it are left as they come. All by default. */
  readonly upTo?: LevelName;
  /** Turns that are taken beside the plan's own rules. */
  readonly turns?: readonly Turn[];
  /** Whether a plan without timetable is told why; it is by default, and costs more than finding that there is none. */
  readonly reasons?: 'tell' | 'spare';
  /** A timetable that is near what is wanted: it is looked at first. */
  readonly warmStart?: Timetable;
  /** Where the search begins among equals. */
  readonly seed?: number;
  /** Asked now and then; true ends the search, and the answer then depends on whoever is asked. */
  readonly stop?: () => boolean;
  /** Told of each better timetable while the search goes on: what its levels are. */
  readonly onImprovement?: (levels: readonly LevelResult[]) => void;
}

/** Demands that cannot be met together. */
export interface Refusal {
  /** In the plan's own words, with lines. */
  readonly message: string;
  readonly steps: readonly StepId[];
  readonly places: readonly Place[];
}

export type PlanResult =
  /** optimal: no timetable is better on the ladder (see docs/planner.md). feasible: right, but perhaps not the best. */
  | {
      readonly status: 'optimal' | 'feasible';
      readonly timetable: Timetable;
      /** What each level of the ladder came to, the most important first, and what it cannot be below. */
      readonly levels: readonly LevelResult[];
      readonly work: number;
    }
  | { readonly status: 'infeasible'; readonly reasons: readonly Refusal[] }
  /** The effort was spent before any timetable was found. */
  | { readonly status: 'unknown'; readonly work: number };

/** Work that takes about a second on an ordinary machine. */
const A_SECOND = 4_000_000;

/**
 * Makes the timetable of a workload: every step of every component with its start and end, and every oven setting; the best
 * one on the ladder of what is preferred. What it returns has been checked by {@link verify}.
 * @throws RangeError when the request does not fit the workload; Error when a timetable fails its check (our own mistake).
 */
export function planTimetable(workload: Workload, request: PlanRequest): PlanResult {
  const { service, now } = request;
  if (service.kind === 'at' && service.moments.length !== workload.plans.length)
    throw new RangeError(`${service.moments.length} moments of service for ${workload.plans.length} plans`);
  if (service.kind === 'soonest' && now === undefined)
    throw new RangeError('the soonest service is reckoned from now: say when that is');
  const alone = impossibleAlone(workload);
  if (alone.length > 0) return { status: 'infeasible', reasons: alone };
  return service.kind === 'soonest'
    ? soonest(workload, request, now ?? epochMs(0))
    : at(workload, request, service.moments);
}

/** First the soonest moment at which service can be, then the best timetable for the next whole minute. */
function soonest(workload: Workload, request: PlanRequest, now: EpochMs): PlanResult {
  const base = epochMs(Math.ceil(now / 1000) * 1000);
  const frame = frameOf(workload, request, base, 'open');
  const extraction = extract(workload, frame);
  const found = solved(extraction, request, base, workload);
  if (found.status === 'unknown') return { status: 'unknown', work: found.work };
  if (found.status === 'infeasible') return refused(workload, request, extraction);
  const exact = epochMs(base + (found.schedule.times[2 * extraction.extras.service(0)] ?? 0) * 1000);
  const minute = epochMs(Math.ceil(exact / 60_000) * 60_000);
  const all = (moment: EpochMs): EpochMs[] => workload.plans.map(() => moment);
  for (const moment of minute === exact ? [exact] : [minute, exact]) {
    const planned = bestAt(workload, request, all(moment));
    if ('timetable' in planned.result) return planned.result;
  }
  return { status: 'unknown', work: found.work };
}

function at(workload: Workload, request: PlanRequest, moments: readonly EpochMs[]): PlanResult {
  const { result, extraction } = bestAt(workload, request, moments);
  if (result.status !== 'infeasible') return result;
  const { now, effort = A_SECOND, ...ever } = request;
  if (now === undefined || request.reasons === 'spare')
    return refused(workload, request, extraction, moments);
  // What is asked now only makes the answer more helpful: half as much for each.
  const anyHour: Workload = { ...workload, kitchen: { ...workload.kitchen, nights: 'allowed' } };
  const early = bestAt(anyHour, { ...ever, prefer: ['day'], effort: effort / 2 }, moments);
  if (!('timetable' in early.result)) return refused(workload, request, early.extraction, moments);
  const next = soonest(workload, { ...request, effort: effort / 2 }, now);
  return {
    status: 'infeasible',
    reasons: [tooLate(workload, early.result.timetable, now, next, request.margins ?? 'keep')],
  };
}

function refused(
  workload: Workload,
  { reasons, effort = A_SECOND }: PlanRequest,
  extraction: Extraction,
  moments?: readonly EpochMs[],
): PlanResult {
  const told = reasons === 'spare' ? [] : explain(workload, extraction, effort, moments);
  return { status: 'infeasible', reasons: told };
}

/** The rules behind the reasons for which there is no timetable at the given moments; none where single steps ask for too much. */
export function contradictionsIn(
  workload: Workload,
  request: PlanRequest & { readonly service: { readonly kind: 'at' } },
): readonly Contradiction[] {
  if (impossibleAlone(workload).length > 0) return [];
  const { extraction } = bestAt(workload, request, request.service.moments);
  return contradictions(workload, extraction, request.effort ?? A_SECOND);
}

interface Planned {
  readonly extraction: Extraction;
  /** An infeasible one has no reasons yet. */
  readonly result: PlanResult;
}

function bestAt(workload: Workload, request: PlanRequest, moments: readonly EpochMs[]): Planned {
  const base = epochMs(Math.floor(Math.max(...moments) / 1000) * 1000);
  const services = moments.map((moment) => Math.floor((moment - base) / 1000));
  const extraction = extract(workload, frameOf(workload, request, base, services));
  const found = solved(extraction, request, base, workload);
  if (found.status === 'unknown') return { extraction, result: { status: 'unknown', work: found.work } };
  if (found.status === 'infeasible') return { extraction, result: { status: 'infeasible', reasons: [] } };
  const timetable = timetableOf(workload, extraction, found.schedule, base, moments);
  check(workload, request, timetable);
  return { extraction, result: { status: found.status, timetable, levels: found.levels, work: found.work } };
}

/**
 * The timetable of a workload with the starts of another's, whose steps are as long or longer: each step that nature ends is as
 * long as usual, each rest as long as it was, and the ovens are set for that.
 * @throws Error when it fails its check (our own mistake).
 */
export function withUsualLengths(workload: Workload, longer: Timetable): Timetable {
  const own = new Map(
    workload.components.flatMap(({ steps }) => steps.map((step) => [step.id, step] as const)),
  );
  const steps = longer.steps.flatMap((planned): PlannedStep[] => {
    const step = own.get(planned.step);
    if (!step) return [];
    const end =
      step.length.kind === 'rest' ? planned.end : plus(planned.start, seconds(lengthBounds(step).least));
    return [{ ...planned, end }];
  });
  const { service } = longer;
  const base = epochMs(Math.floor(Math.max(...service) / 1000) * 1000);
  const services = service.map((moment) => Math.floor((moment - base) / 1000));
  const request: PlanRequest = { service: { kind: 'at', moments: service } };
  const extraction = extract(workload, frameOf(workload, request, base, services));
  const { activities } = extraction.problem;
  const schedule = scheduleOf(workload, extraction, { ...longer, steps }, base, activities);
  const timetable = timetableOf(workload, extraction, schedule, base, service);
  check(workload, request, timetable);
  return timetable;
}

function frameOf(
  workload: Workload,
  request: PlanRequest,
  base: EpochMs,
  services: Frame['services'],
): Frame {
  const apart = services === 'open' ? 0 : Math.max(...services) - Math.min(...services);
  const calendar = calendarOf(workload, base, services === 'open' ? 'after' : 'before', apart);
  return {
    services,
    margins: request.margins ?? 'keep',
    prefer: request.prefer ?? preferenceOf(workload),
    beginNotBefore: request.now === undefined ? calendar.begin : Math.ceil((request.now - base) / 1000),
    calendar,
    ...(request.upTo && { upTo: request.upTo }),
    ...(request.turns && { turns: request.turns }),
  };
}

function solved(
  extraction: Extraction,
  request: PlanRequest,
  base: EpochMs,
  workload: Workload,
): SolveResult {
  const { effort = A_SECOND, seed, warmStart, stop, onImprovement } = request;
  const { activities } = extraction.problem;
  const found = solve(extraction.problem, {
    budget: { work: effort, ...(stop && { stop }) },
    ...(onImprovement && { onImprovement }),
    ...(seed !== undefined && { seed }),
    ...(warmStart && { warmStart: scheduleOf(workload, extraction, warmStart, base, activities) }),
  });
  if (!('schedule' in found)) return found;
  return { ...found, schedule: withRestsAtOnce(workload, extraction.problem, found.schedule) };
}

function check(workload: Workload, { now, margins }: PlanRequest, timetable: Timetable): void {
  const wrong = verify(workload, timetable, {
    ...(now !== undefined && { now }),
    ...(margins && { margins }),
  });
  if (wrong.length > 0)
    throw new Error(
      `the planner made a timetable that fails its check: ${wrong.map((each) => each.message).join('; ')}`,
    );
}
