import type { Kitchen, Step, StepId, Workload } from '../plan/index.ts';
import type { Refusal } from './plan.ts';
import { counted, lineOf } from './words.ts';

/** What single steps ask for that the kitchen has not got, however the steps are placed. */
export function impossibleAlone(workload: Workload): Refusal[] {
  return workload.components
    .flatMap((component) => component.steps)
    .flatMap((step) =>
      [hands(workload.kitchen, step), ...equipment(workload.kitchen, step), ovens(workload, step)].flatMap(
        (problem) => (problem === undefined ? [] : [refusal(workload, step, problem)]),
      ),
    );
}

function refusal(workload: Workload, step: Step, problem: string): Refusal {
  const steps: StepId[] = [step.id];
  return { message: `${step.id} (${lineOf(workload, step.place)}) ${problem}`, steps, places: [step.place] };
}

const lasts = ({ length }: Step): boolean =>
  (length.kind === 'rest' ? length.atLeast : length.range.usual) > 0;

function hands(kitchen: Kitchen, step: Step): string | undefined {
  if (!lasts(step)) return undefined;
  if (step.hands === 'busy' && kitchen.cooks < 1) return 'takes both hands, and the kitchen has no cook';
  if (step.hands === 'near' && kitchen.near < 1)
    return 'wants a cook near, and the kitchen allows no near steps';
  return undefined;
}

function equipment(kitchen: Kitchen, step: Step): string[] {
  const claims = [...(lasts(step) ? step.uses : []), ...step.holds];
  return claims.flatMap(({ item, count }) => {
    const there = kitchen.items.find(({ name }) => name === item)?.count ?? 0;
    return count > there
      ? [`wants ${counted(count, item)}, and the kitchen has ${there === 0 ? 'none' : there}`]
      : [];
  });
}

function ovens({ kitchen }: Workload, step: Step): string | undefined {
  const { oven: demand } = step;
  if (!demand || !lasts(step)) return undefined;
  if (kitchen.ovens.length === 0) return 'wants an oven, and the kitchen has none';
  const named = kitchen.ovens.filter((oven) => demand.oven === undefined || oven.name === demand.oven);
  if (named.length === 0) return `wants the oven "${demand.oven}", and the kitchen has no such oven`;
  const most = Math.max(...named.map((oven) => oven.shelves));
  if (demand.shelves <= most) return undefined;
  return `wants ${demand.shelves} shelves, and ${demand.oven === undefined ? 'no oven' : `the oven "${demand.oven}"`} has more than ${most}`;
}
