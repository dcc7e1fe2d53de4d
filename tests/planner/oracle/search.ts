import type { Workload } from '../../../src/plan/index.ts';
import type { PlannedStep, PlanRequest, Timetable } from '../../../src/planner/index.ts';
import { epochMs, type EpochMs } from '../../../src/units/index.ts';
import { NOTHING, type GivingRules } from './giving.ts';
import { ladderOf, type Level } from './ladder.ts';
import { NEVER, puzzleOf, type Puzzle } from './puzzle.ts';
import { Trial, type Found } from './trial.ts';
import { isWrong } from './wrong.ts';

export type OracleAnswer =
  | { readonly status: 'infeasible'; readonly nodes: number }
  | {
      readonly status: 'optimal';
      readonly levels: readonly Level[];
      /** The same figures as the search reckoned them. */
      readonly values: readonly number[];
      /** Steps only: what is set on the ovens is not the oracle's business. */
      readonly timetable: Timetable;
      readonly nodes: number;
    };

/**
 * Tries every timetable in whole seconds, every oven for every run, and gives the best by the ladder. What it leaves out is
 * only what breaks a rule already, or can be no better than what was found.
 * @param back how far to look back at least, in seconds: by itself the oracle knows how far is enough.
 * @param out rules that are left out.
 * @throws RangeError where the case is too large to be tried out.
 */
export function bestOfAll(
  workload: Workload,
  request: PlanRequest,
  { back = 0, out = NOTHING }: { readonly back?: number; readonly out?: GivingRules } = {},
): OracleAnswer {
  return bestIn(puzzleOf(workload, request, back, out), request);
}

/** Whether there is a timetable when some rules are left out. */
export function isPossible(workload: Workload, request: PlanRequest, out: GivingRules): boolean {
  return bestIn(puzzleOf(workload, request, 0, out), request, 'any').status === 'optimal';
}

function bestIn(puzzle: Puzzle, request: PlanRequest, wanted: 'best' | 'any' = 'best'): OracleAnswer {
  const { workload } = puzzle;
  if (request.service.kind !== 'at') throw new RangeError('the oracle wants to be told when service is');
  if (puzzle.circular) return { status: 'infeasible', nodes: 0 };
  const trial = new Trial(puzzle, wanted);
  for (const ovenOf of ovenChoices(puzzle)) trial.tryAll(ovenOf);
  const { best, bestValues: values, nodes } = trial;
  if (!best) return { status: 'infeasible', nodes };
  const timetable = timetableOf(puzzle, best, request.service.moments);
  return {
    status: 'optimal',
    levels: ladderOf(workload, timetable, request.prefer),
    values,
    timetable,
    nodes,
  };
}

/** Whether a timetable keeps every rule but those of oven settings. */
export function accepts(workload: Workload, request: PlanRequest, timetable: Timetable): boolean {
  const earliest = Math.min(...timetable.steps.map((entry) => entry.start));
  const back = (Math.max(...timetable.service) - earliest) / 1000 + 1;
  const puzzle = puzzleOf(workload, request, back);
  const times = new Int32Array(puzzle.points);
  const ovenOf: number[] = puzzle.runs.map(() => -1);
  for (const entry of timetable.steps) {
    const place = puzzle.steps.findIndex(({ id }) => id === entry.step);
    times[2 * place] = entry.start / 1000 - puzzle.base;
    times[2 * place + 1] = entry.end / 1000 - puzzle.base;
    const run = puzzle.runs.findIndex(({ loads }) =>
      loads.some((load) => puzzle.loads[load]?.step === place),
    );
    const oven = puzzle.ovens.findIndex(({ name }) => name === entry.oven);
    if (run < 0) continue;
    if (ovenOf[run] !== -1 && ovenOf[run] !== oven) return false;
    if (!puzzle.runs[run]?.candidates.includes(oven)) return false;
    ovenOf[run] = oven;
  }
  return inBounds(puzzle, times) && !isWrong(puzzle, { low: times, high: times, ovenOf });
}

export function inBounds({ points, low, high, distances }: Puzzle, times: Int32Array): boolean {
  for (let p = 0; p < points; p += 1) {
    const time = times[p] ?? 0;
    if (time < (low[p] ?? 0) || time > (high[p] ?? 0)) return false;
    for (let q = 0; q < points; q += 1)
      if ((times[q] ?? 0) - time < (distances[p * points + q] ?? NEVER)) return false;
  }
  return true;
}

export function ovenChoices({ runs }: Puzzle): number[][] {
  return runs.reduce<number[][]>(
    (found, { candidates }) => found.flatMap((chosen) => candidates.map((oven) => [...chosen, oven])),
    [[]],
  );
}

export function timetableOf(
  puzzle: Puzzle,
  { times, ovenOf }: Found,
  service: readonly EpochMs[],
): Timetable {
  const moment = (point: number): EpochMs => epochMs((puzzle.base + (times[point] ?? 0)) * 1000);
  const steps = puzzle.steps.map((step, place): PlannedStep => {
    const load = puzzle.loads.find((each) => each.step === place);
    const oven = load && puzzle.ovens[ovenOf[load.run] ?? -1]?.name;
    return {
      step: step.id,
      start: moment(2 * place),
      end: moment(2 * place + 1),
      ...(oven !== undefined && { oven }),
    };
  });
  return { service, steps: steps.toSorted((a, b) => a.start - b.start), settings: [] };
}
