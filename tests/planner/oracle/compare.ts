import { planTimetable, verify, type PlanResult } from '../../../src/planner/index.ts';
import { asked, type KitchenCase } from '../kitchens/case.ts';
import { ladderOf, type Level } from './ladder.ts';
import { accepts, bestOfAll } from './search.ts';

/** What the planner and the oracle say about a case, and how they differ where they do. */
export interface Comparison {
  readonly status: 'optimal' | 'infeasible';
  readonly difference: string | undefined;
}

export function compared(given: KitchenCase): Comparison {
  const { workload, request } = asked(given);
  const answer = bestOfAll(workload, request);
  let result: PlanResult;
  try {
    result = planTimetable(workload, request);
  } catch (error) {
    return { status: answer.status, difference: `the planner fails: ${String(error)}` };
  }
  if (result.status !== answer.status)
    return { status: answer.status, difference: `planner ${result.status}, oracle ${answer.status}` };
  if (answer.status === 'infeasible' || !('timetable' in result))
    return { status: answer.status, difference: undefined };
  const { timetable } = result;
  const mine = ladderOf(workload, timetable, request.prefer);
  const { now, margins } = request;
  const broken = verify(workload, timetable, { ...(now && { now }), ...(margins && { margins }) });
  const differences = [
    ...answer.levels.flatMap(({ name, value }, place) =>
      mine[place]?.value === value ? [] : [`${name}: planner ${mine[place]?.value}, oracle ${value}`],
    ),
    ...broken.map(({ message }) => `verifier: ${message}`),
    ...(accepts(workload, request, timetable) ? [] : ['the oracle does not accept the timetable']),
    ...wronglyTold(mine, result),
  ];
  return { status: answer.status, difference: differences[0] };
}

/** What is the same about differences of one kind: names and figures left aside. */
export const kindOf = (difference: string | undefined): string | undefined =>
  difference
    ?.replaceAll(/[a-z]\/[a-z]\.s\d+/g, 'step')
    .replaceAll(/-?[\d.]+/g, '0')
    .slice(0, 90);

/** The planner's own account of the ladder, against the ladder of its timetable. */
function wronglyTold(levels: readonly Level[], result: PlanResult): string[] {
  if (!('levels' in result)) return ['no levels'];
  const told = result.levels as readonly { name: string; value: number; bound: number }[];
  return levels.flatMap(({ name, value }) => {
    const same = told.find((other) => other.name === name);
    if (!same) return name === 'night' && value === 0 ? [] : [`the level ${name} is not told`];
    const right = same.value === value && same.bound === value;
    return right ? [] : [`${name} is ${value}, told as ${same.value} with the bound ${same.bound}`];
  });
}
