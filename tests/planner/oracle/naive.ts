import type { Workload } from '../../../src/plan/index.ts';
import type { PlanRequest } from '../../../src/planner/index.ts';
import { ladderOf, type Level } from './ladder.ts';
import { lengthOf, puzzleOf, type Puzzle } from './puzzle.ts';
import { inBounds, ovenChoices, timetableOf } from './search.ts';
import { isWrong } from './wrong.ts';

/** More timetables than this are not looked at. */
const MOST = 4000;

/**
 * Looks at every timetable one by one and leaves nothing out: what the oracle must find as well. Nothing where there are too
 * many.
 */
export function bestByLooking(
  workload: Workload,
  request: PlanRequest,
):
  | { readonly status: 'optimal'; readonly levels: readonly Level[] }
  | { readonly status: 'infeasible' }
  | undefined {
  const puzzle = puzzleOf(workload, request);
  const [earliest, choices] = [Math.min(...puzzle.low), ovenChoices(puzzle)];
  const placings = puzzle.steps.map((_, place) => placingsOf(puzzle, place, earliest));
  const count = placings.reduce((product, all) => product * all.length, choices.length);
  if (count > MOST || request.service.kind !== 'at') return undefined;
  let best: readonly Level[] | undefined;
  for (const ovenOf of choices)
    for (let number = 0; number < count / choices.length; number += 1) {
      const times = timesOf(placings, number);
      if (!inBounds(puzzle, times) || isWrong(puzzle, { low: times, high: times, ovenOf })) continue;
      const timetable = timetableOf(puzzle, { times, ovenOf }, request.service.moments);
      const levels = ladderOf(workload, timetable, request.prefer);
      if (!best || isBetter(levels, best)) best = levels;
    }
  return best ? { status: 'optimal', levels: best } : { status: 'infeasible' };
}

type Placing = readonly [number, number];

function placingsOf(puzzle: Puzzle, place: number, earliest: number): Placing[] {
  const step = puzzle.steps[place];
  const { least, most } = step ? lengthOf(step) : { least: 0, most: 0 };
  const found: Placing[] = [];
  for (let start = earliest; start <= 0; start += 1)
    for (let end = start + least; end <= Math.min(0, start + most); end += 1) found.push([start, end]);
  return found;
}

/** The placing of each step in the timetable with that number. */
function timesOf(placings: readonly (readonly Placing[])[], number: number): Int32Array {
  const times = new Int32Array(2 * placings.length);
  let left = number;
  placings.forEach((all, place) => {
    times.set(all[left % all.length] ?? [0, 0], 2 * place);
    left = Math.floor(left / all.length);
  });
  return times;
}

function isBetter(levels: readonly Level[], other: readonly Level[]): boolean {
  for (const [place, { value }] of levels.entries()) {
    const against = other[place]?.value ?? Infinity;
    if (value !== against) return value < against;
  }
  return false;
}
