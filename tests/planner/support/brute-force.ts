import type { Component, Step, Workload } from '../../../src/plan/index.ts';
import { settingsFor, type PlacedDemand } from '../../../src/planner/settings.ts';
import { verify, type OvenSetting, type PlannedStep, type Timetable } from '../../../src/planner/index.ts';
import { epochMs, type EpochMs } from '../../../src/units/index.ts';

/** Minutes before service at which a step starts and ends. */
interface Placed {
  readonly step: Step;
  readonly start: number;
  readonly end: number;
}

interface Candidate {
  readonly placed: readonly Placed[];
  readonly ovens: ReadonlyMap<Step['id'], string>;
  readonly first: number;
  readonly sum: number;
}

/**
 * Tries every timetable on a grid of minutes in the last `horizon` minutes before service, the best first, and gives the
 * objective of the first one that the verifier passes: when work begins, and the sum of starts, in minutes to service.
 */
export function bestByTrying(
  workload: Workload,
  service: EpochMs,
  horizon: number,
): { first: number; sum: number } | undefined {
  const candidates = combinations(workload.components.map((component) => placings(component, horizon)))
    .map((parts) => parts.flat())
    .flatMap((placed) => ovenChoices(workload, placed).map((ovens) => candidate(workload, placed, ovens)));
  candidates.sort((a, b) => b.first - a.first || b.sum - a.sum);
  return candidates.find((each) => verify(workload, timetableOf(workload, each, service)).length === 0);
}

function placings(component: Component, horizon: number): Placed[][] {
  let partial: Placed[][] = [[]];
  for (const step of component.steps) {
    partial = partial.flatMap((placed) => {
      const earliest = placed.at(-1)?.end ?? -horizon;
      const found: Placed[][] = [];
      for (let start = earliest; start <= 0; start += 1)
        for (const length of lengths(step, horizon))
          if (start + length <= 0) found.push([...placed, { step, start, end: start + length }]);
      return found;
    });
  }
  return partial;
}

function lengths({ length }: Step, horizon: number): number[] {
  if (length.kind !== 'rest') return [length.range.usual / 60];
  const [least, most] = [length.atLeast / 60, (length.atMost ?? Infinity) / 60];
  return Array.from({ length: horizon + 1 }, (_, count) => count).filter(
    (count) => count >= least && count <= most,
  );
}

function combinations<T>(sets: readonly (readonly T[])[]): T[][] {
  return sets.reduce<T[][]>(
    (found, set) => found.flatMap((parts) => set.map((part) => [...parts, part])),
    [[]],
  );
}

function ovenChoices(workload: Workload, placed: readonly Placed[]): ReadonlyMap<Step['id'], string>[] {
  const wanting = placed.filter(({ step }) => step.oven);
  return combinations(wanting.map(() => workload.kitchen.ovens.map((oven) => oven.name))).map(
    (names) => new Map(wanting.map(({ step }, index) => [step.id, names[index] ?? ''])),
  );
}

function candidate(workload: Workload, placed: readonly Placed[], ovens: Candidate['ovens']): Candidate {
  let [first, sum] = [Infinity, 0];
  for (const { step, start, end } of placed) {
    first = Math.min(first, start);
    sum += start;
    const oven = workload.kitchen.ovens.find(({ name }) => name === ovens.get(step.id));
    if (!oven || end === start || step.oven?.heat.kind !== 'at') continue;
    const rise = step.oven.heat.temperature.celsius - workload.kitchen.ambient;
    first = Math.min(first, start - rise / oven.heats - oven.soak / 60);
  }
  return { placed, ovens, first, sum };
}

function timetableOf(workload: Workload, { placed, ovens }: Candidate, service: EpochMs): Timetable {
  const moment = (minute: number): EpochMs => epochMs(service + minute * 60_000);
  const steps = placed.map(({ step, start, end }): PlannedStep => {
    const oven = ovens.get(step.id);
    return { step: step.id, start: moment(start), end: moment(end), ...(oven !== undefined && { oven }) };
  });
  const settings = workload.kitchen.ovens.flatMap((oven): OvenSetting[] => {
    const model = {
      ...oven,
      heats: oven.heats / 60,
      cools: oven.cools / 60,
      ambient: workload.kitchen.ambient,
    };
    const demands = placed
      .filter(({ step, start, end }) => ovens.get(step.id) === oven.name && end > start)
      .map(({ step, start, end }): PlacedDemand[] => {
        if (!step.oven) return [];
        const temperature = step.oven.heat.kind === 'at' ? step.oven.heat.temperature.celsius : undefined;
        return [
          {
            step: step.id,
            start: start * 60,
            end: end * 60,
            heat: step.oven.heat,
            temperature,
            takesOver: takesOver(workload, placed, ovens, step),
          },
        ];
      })
      .flat()
      .toSorted((a, b) => a.start - b.start);
    return settingsFor(model, demands).map((setting) => ({
      ...setting,
      oven: oven.name,
      at: epochMs(service + setting.at * 1000),
      hotBy: epochMs(service + setting.hotBy * 1000),
    }));
  });
  return {
    service: [service],
    steps: steps.toSorted((a, b) => a.start - b.start),
    settings: settings.toSorted((a, b) => a.at - b.at),
  };
}

/** Whether the nearest step with a length before this one is in the same oven and no cooler. */
function takesOver(
  workload: Workload,
  placed: readonly Placed[],
  ovens: Candidate['ovens'],
  step: Step,
): boolean {
  const before = placed
    .filter((other) => other.step.component === step.component)
    .slice(
      0,
      placed
        .filter((other) => other.step.component === step.component)
        .findIndex((other) => other.step === step),
    )
    .findLast((other) => !other.step.oven || other.end > other.start)?.step;
  if (!before?.oven || ovens.get(before.id) !== ovens.get(step.id)) return false;
  if (step.oven?.heat.kind !== 'at') return true;
  const tolerance = workload.kitchen.ovens.find(({ name }) => name === ovens.get(step.id))?.tolerance ?? 0;
  return (
    before.oven.heat.kind === 'at' &&
    step.oven.heat.temperature.celsius <= before.oven.heat.temperature.celsius + tolerance
  );
}
