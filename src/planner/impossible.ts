import type { Kitchen, Step, StepId, Workload } from '../plan/index.ts';
import { runs, willDo } from './extract-ovens.ts';
import type { Refusal } from './plan.ts';
import { counted, lineOf } from './words.ts';

/** What single steps, or oven steps in a row, ask for that the kitchen has not got, however they are placed. */
export function impossibleAlone(workload: Workload): Refusal[] {
  const alone = ofSteps(workload);
  if (alone.length > 0) return alone;
  return workload.components.flatMap(runs).flatMap((run) => inARow(workload, run));
}

/** Oven steps in a row go to the oven that one of them names, also those that would need another. */
function inARow(workload: Workload, run: readonly Step[]): Refusal[] {
  const namer = run.find((step) => step.oven?.oven !== undefined);
  const oven = workload.kitchen.ovens.find(({ name }) => name === namer?.oven?.oven);
  const wanting = run.find((step) => lasts(step) && (step.oven?.shelves ?? 0) > (oven?.shelves ?? Infinity));
  if (!namer || !oven || !wanting) return [];
  const message = `${wanting.id} (${lineOf(workload, wanting.place)}) wants ${wanting.oven?.shelves ?? 0} shelves of the oven "${oven.name}", where ${namer.id} (${lineOf(workload, namer.place)}) keeps it, and it has only ${oven.shelves}`;
  return [{ message, steps: [wanting.id, namer.id], places: [wanting.place, namer.place] }];
}

function ofSteps(workload: Workload): Refusal[] {
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
  const missing = claims.flatMap(({ item, count }) => {
    const there = kitchen.items.find(({ name }) => name === item)?.count ?? 0;
    return count > there
      ? [`wants ${counted(count, item)}, and the kitchen has ${there === 0 ? 'none' : there}`]
      : [];
  });
  return [...new Set(missing)];
}

function ovens({ kitchen }: Workload, step: Step): string | undefined {
  const { oven: demand } = step;
  if (!demand || !lasts(step)) return undefined;
  if (kitchen.ovens.length === 0) return 'wants an oven, and the kitchen has none';
  const named = kitchen.ovens.filter((oven) =>
    demand.oven === undefined ? willDo(step, oven) : oven.name === demand.oven,
  );
  if (named.length === 0) return `wants the oven "${demand.oven}", and the kitchen has no such oven`;
  const most = Math.max(...named.map((oven) => oven.shelves));
  if (demand.shelves <= most) return undefined;
  const where = demand.oven === undefined ? 'no oven has' : `the oven "${demand.oven}" has`;
  const enough = demand.oven === undefined ? 'more than ' : 'only ';
  return `wants ${demand.shelves} shelves, and ${where} ${enough}${most}`;
}
