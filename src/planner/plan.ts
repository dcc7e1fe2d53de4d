import type { Place, StepId, Workload } from '../plan/index.ts';
import { epochMs, type EpochMs } from '../units/index.ts';
import { explain } from './explain.ts';
import { extract, type Extraction } from './extract.ts';
import { search, type SearchResult, type Solution } from './search.ts';
import type { Timetable } from './timetable.ts';
import { timetableOf } from './timetable-of.ts';
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
   * How much the search may look at: edges, blocks and pairs of oven demands, so that it costs the same on every machine
   * and leaves fewer tries the more steps there are. As much again is allowed for saying why there is no timetable. By
   * default what takes a second or so.
   */
  readonly effort?: number;
  /** Whether the plans' margins before service count; they do by default. */
  readonly margins?: 'keep' | 'drop';
}

/** Demands that cannot be met together. */
export interface Refusal {
  /** In the plan's own words, with lines. */
  readonly message: string;
  readonly steps: readonly StepId[];
  readonly places: readonly Place[];
}

export type PlanResult =
  /** optimal: work begins as late as it can and nothing could start later. feasible: right, but perhaps not the best. */
  | { readonly status: 'optimal' | 'feasible'; readonly timetable: Timetable; readonly nodes: number }
  | { readonly status: 'infeasible'; readonly reasons: readonly Refusal[] }
  /** The effort was spent before any timetable was found. */
  | { readonly status: 'unknown'; readonly nodes: number };

/** Looks that take about a second on an ordinary machine. */
const A_SECOND = 60_000_000;

/**
 * Makes the timetable of a workload: every step of every component with its start and end, and every oven setting. Work
 * begins as late as it can, and then everything starts as late as it can. What it returns has been checked by
 * {@link verify}.
 * @throws RangeError when the request does not fit the workload; Error when a timetable fails its check (our own mistake).
 */
export function planTimetable(workload: Workload, request: PlanRequest): PlanResult {
  checkRequest(workload, request);
  return request.service.kind === 'soonest'
    ? soonest(workload, request, request.now ?? epochMs(0))
    : at(workload, request, request.service.moments);
}

function checkRequest(workload: Workload, { service, now }: PlanRequest): void {
  if (service.kind === 'at' && service.moments.length !== workload.plans.length)
    throw new RangeError(`${service.moments.length} moments of service for ${workload.plans.length} plans`);
  if (service.kind === 'soonest' && now === undefined)
    throw new RangeError('the soonest service is reckoned from now: say when that is');
}

/** Work as short as it can be, moved so that it begins no earlier than now and service falls on a whole minute. */
function soonest(workload: Workload, request: PlanRequest, now: EpochMs): PlanResult {
  const services = workload.plans.map(() => 0);
  const extraction = extract(workload, services, request.margins ?? 'keep');
  const found = search(extraction.problem, { effort: request.effort ?? A_SECOND });
  if (!found.solution) return withoutSolution(workload, request, extraction, found);
  const service = soonestService(now, found.solution);
  return checked(
    workload,
    request,
    extraction,
    found,
    service,
    workload.plans.map(() => service),
  );
}

/** The first whole minute of service for which the solution's work need not begin before now. */
function soonestService(now: EpochMs, solution: Solution): EpochMs {
  return epochMs(Math.ceil((now - solution.first * 1000) / 60_000) * 60_000);
}

function at(workload: Workload, request: PlanRequest, moments: readonly EpochMs[]): PlanResult {
  const base = epochMs(Math.floor(Math.max(...moments) / 1000) * 1000);
  const services = moments.map((moment) => Math.floor((moment - base) / 1000));
  const extraction = extract(workload, services, request.margins ?? 'keep');
  const effort = request.effort ?? A_SECOND;
  if (request.now === undefined) {
    const found = search(extraction.problem, { effort });
    if (!found.solution) return withoutSolution(workload, request, extraction, found);
    return checked(workload, request, extraction, found, base, moments);
  }
  const beginNotBefore = Math.ceil((request.now - base) / 1000);
  const found = search(extraction.problem, { effort, beginNotBefore });
  if (found.solution) return checked(workload, request, extraction, found, base, moments);
  if (found.status === 'unknown') return { status: 'unknown', nodes: found.nodes };
  // What is asked now only makes the answer more helpful: half as much for each.
  const ever = search(extraction.problem, { effort: effort / 2 });
  if (!ever.solution) return withoutSolution(workload, request, extraction, ever);
  const next = soonest(workload, { ...request, effort: effort / 2 }, request.now);
  return {
    status: 'infeasible',
    reasons: [
      tooLate(workload, timetableOf(workload, extraction, ever.solution, base, moments), request.now, next),
    ],
  };
}

function withoutSolution(
  workload: Workload,
  request: PlanRequest,
  extraction: Extraction,
  found: SearchResult,
): PlanResult {
  if (found.status === 'unknown') return { status: 'unknown', nodes: found.nodes };
  return { status: 'infeasible', reasons: explain(workload, extraction, request.effort ?? A_SECOND) };
}

function checked(
  workload: Workload,
  request: PlanRequest,
  extraction: Extraction,
  found: SearchResult,
  base: EpochMs,
  service: readonly EpochMs[],
): PlanResult {
  if (!found.solution) throw new Error('a result without a solution was to be read back');
  const timetable = timetableOf(workload, extraction, found.solution, base, service);
  const { now, margins } = request;
  const wrong = verify(workload, timetable, {
    ...(now !== undefined && { now }),
    ...(margins && { margins }),
  });
  if (wrong.length > 0)
    throw new Error(
      `the planner made a timetable that fails its check: ${wrong.map((each) => each.message).join('; ')}`,
    );
  return { status: found.status === 'best' ? 'optimal' : 'feasible', timetable, nodes: found.nodes };
}
