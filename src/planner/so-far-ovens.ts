import { ovenModel } from '../heat/index.ts';
import type { Workload } from '../plan/index.ts';
import { secondsBetween, type EpochMs } from '../units/index.ts';
import {
  startOf,
  type DemandGroup,
  type Problem,
  type StateDemand,
  type StateResource,
} from './core/index.ts';
import type { Extraction } from './extract.ts';
import type { Progress } from './progress.ts';
import { waitFor, type OvenNow } from './settings.ts';
import type { Adding, Standing } from './so-far.ts';
import { keepDemands } from './without.ts';

/** How each oven stands, in whole seconds from the base; cold and off where nothing is said. */
export function ovensNow(workload: Workload, progress: Progress, base: EpochMs): OvenNow[] {
  const now = Math.ceil(secondsBetween(base, progress.now));
  return workload.kitchen.ovens.map(({ name }) => {
    const standing = progress.ovens.find(({ oven }) => oven === name);
    return {
      now,
      knob: standing?.knob,
      celsius: standing?.celsius ?? workload.kitchen.ambient,
      readyAt: standing ? Math.ceil(secondsBetween(base, standing.readyAt)) : now,
    };
  });
}

/** What is still wanted of the ovens, and when each of them can be in which state. */
export function ovensSoFar(
  workload: Workload,
  extraction: Extraction,
  progress: Progress,
  base: EpochMs,
  standing: Standing,
  adding: Adding,
): Pick<Problem, 'ovens' | 'demands' | 'groups'> {
  const { problem, states } = extraction;
  const stands = ovensNow(workload, progress, base);
  const ovens = problem.ovens.map((oven, index): StateResource => {
    const [model, now] = [workload.kitchen.ovens[index], stands[index]];
    if (!model || !now) return oven;
    adding.release(extraction.extras.on(index), now.now);
    return {
      ...oven,
      warmUp: oven.warmUp.map((time) => (time === undefined ? undefined : 0)),
      ready: states.map(
        (state) =>
          now.now +
          (state === undefined ? 0 : waitFor(ovenModel(model, workload.kitchen.ambient), now, state)),
      ),
    };
  });
  const chosen = ovenByGroup(workload, extraction, progress);
  const demands = demandsSoFar(problem, standing, adding);
  const unmet = withoutShelf(problem, standing, chosen);
  const left = keepDemands(
    problem,
    demands,
    (_, index) => !isOver(problem.demands[index], standing) && !unmet.has(index),
  );
  const groups = left.groups.map((group, index): DemandGroup => {
    const oven = chosen[index];
    return oven === undefined ? group : { ...group, candidates: [oven] };
  });
  return { ovens, demands: left.demands, groups };
}

/** Demands under way that find no shelf beside the others in their oven: it has happened, and asking for it would help nobody. */
function withoutShelf(
  { demands, ovens }: Problem,
  standing: Standing,
  chosen: readonly (number | undefined)[],
): ReadonlySet<number> {
  const found = new Set<number>();
  ovens.forEach(({ capacity }, oven) => {
    let taken = 0;
    demands.forEach((demand, number) => {
      const isGoing = standing.fixed.has(demand.start) && !isOver(demand, standing);
      if (chosen[demand.group] !== oven || !isGoing) return;
      if (taken + demand.amount > capacity) found.add(number);
      else taken += demand.amount;
    });
  });
  return found;
}

/** The oven that a group has gone to already. */
function ovenByGroup(workload: Workload, extraction: Extraction, progress: Progress): (number | undefined)[] {
  const chosen: (number | undefined)[] = extraction.problem.groups.map(() => undefined);
  for (const { step, oven } of progress.told.steps) {
    const group = extraction.groupOf.get(step);
    const standing = progress.steps[step];
    if (group === undefined || !standing || standing.kind === 'open') continue;
    const name = (standing.kind === 'going' ? standing.oven : undefined) ?? oven;
    const index = workload.kitchen.ovens.findIndex((each) => each.name === name);
    if (index >= 0) chosen[group] = index;
  }
  return chosen;
}

const isOver = (demand: StateDemand | undefined, { fixed, now }: Standing): boolean =>
  demand === undefined || (fixed.get(demand.end) ?? Infinity) <= now;

/** Demands that are under way last from now on; how they came to stand beside each other, and in an oven of what heat, is not asked. */
function demandsSoFar({ demands }: Problem, standing: Standing, adding: Adding): StateDemand[] {
  return demands.map((demand) => {
    if (!standing.fixed.has(demand.start) || isOver(demand, standing)) return demand;
    const point = startOf(adding.add({ release: standing.now, due: standing.now }));
    return { ...demand, start: point, takesOver: true, settled: true };
  });
}
