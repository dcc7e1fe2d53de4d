import { Apart } from './apart.ts';
import { faults, levelValue } from './check.ts';
import type { Small } from './insertion.ts';
import type { LevelResult, Problem, Schedule, SolveOptions, SolveResult } from './problem.ts';

/** Beyond so many activities, or pairs that may get in each other's way, not everything is weighed against everything. */
const MOST_ACTIVITIES = 360;
const MOST_PAIRS = 100_000;
/** Work between two looks at what has become better. */
const SPELL = 50_000;

/** Whether a problem is too large for longest paths between all points and a clause for each pair. */
export function isLarge(problem: Problem): boolean {
  if (problem.activities.length > MOST_ACTIVITIES) return true;
  let pairs = 0;
  for (const { claims } of problem.resources) pairs += claims.length ** 2 / 2;
  for (const { candidates, demands } of problem.groups)
    pairs += (candidates.length * demands.length * problem.demands.length) / 2;
  return pairs > MOST_PAIRS;
}

/** A schedule of a large problem, made better part by part; bounds are those of windows and lags alone. */
export function solveLarge(problem: Problem, options: SolveOptions, small: Small): SolveResult {
  const limit = options.budget.work ?? Infinity;
  const stop = options.budget.stop ?? ((): boolean => false);
  const apart = new Apart(problem, options, small);
  if (apart.windows.isSpent) return { status: 'unknown', bound: -Infinity, work: apart.work };
  if (!apart.isPossible) return { status: 'infeasible', work: apart.work };
  const { bounds } = apart;
  let schedule = rightStart(problem, options) ?? apart.first(limit - apart.work);
  if (!schedule) return { status: 'unknown', bound: bounds[0] ?? 0, work: apart.work };
  const told = (): LevelResult[] => levelsOf(problem, schedule as Schedule, bounds);
  options.onImprovement?.(told(), schedule);
  let { work } = apart;
  if (!options.anyWillDo) {
    const around = apart.around(schedule);
    while (work + around.work < limit && !stop() && !told().every(({ value, bound }) => value === bound)) {
      const better = around.run(Math.min(SPELL, limit - work - around.work));
      schedule = around.best;
      if (better) options.onImprovement?.(told(), schedule);
    }
    work += around.work;
  }
  return resultOf(problem, schedule, told(), work);
}

/** What to start with, where that meets the whole problem. */
export function rightStart(problem: Problem, { warmStart }: SolveOptions): Schedule | undefined {
  if (!warmStart?.ovenOf) return undefined;
  const schedule = { times: Int32Array.from(warmStart.times), ovenOf: Int32Array.from(warmStart.ovenOf) };
  return faults(problem, schedule).length > 0 ? undefined : schedule;
}

function levelsOf(problem: Problem, schedule: Schedule, bounds: readonly number[]): LevelResult[] {
  return problem.objective.map((level, i) => {
    const value = levelValue(level, schedule);
    return { name: level.name, value, bound: Math.min(value, bounds[i] ?? value) };
  });
}

function resultOf(
  problem: Problem,
  schedule: Schedule,
  levels: readonly LevelResult[],
  work: number,
): SolveResult {
  const wrong = faults(problem, schedule);
  if (wrong.length > 0) throw new Error(`the solver made a wrong schedule: ${wrong.slice(0, 5).join('; ')}`);
  const optimal = levels.every(({ value, bound }) => value === bound);
  return { status: optimal ? 'optimal' : 'feasible', schedule, levels, work };
}
