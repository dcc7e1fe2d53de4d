import type { Step, Workload } from '../plan/index.ts';
import { epochMs, type EpochMs } from '../units/index.ts';
import type { Extraction } from './extract.ts';
import type { Solution } from './search.ts';
import { settingsFor, type PlacedDemand } from './settings.ts';
import type { OvenSetting, PlannedStep, Timetable } from './timetable.ts';

/** Reads a solution back as a timetable; `base` is the moment the problem counts its seconds from. */
export function timetableOf(
  workload: Workload,
  extraction: Extraction,
  solution: Solution,
  base: EpochMs,
  service: readonly EpochMs[],
): Timetable {
  const moment = (time: number): EpochMs => epochMs(base + time * 1000);
  const at = (point: number): number => solution.times[point] ?? 0;
  const ovenOf = (step: Step): string | undefined => {
    const group = extraction.groupOf.get(step.id);
    const index = group === undefined ? -1 : (solution.ovenOf[group] ?? -1);
    return workload.kitchen.ovens[index]?.name;
  };
  const steps = extraction.steps.map((step): PlannedStep => {
    const oven = step.oven && (ovenOf(step) ?? step.oven.oven ?? workload.kitchen.ovens[0]?.name);
    return {
      step: step.id,
      start: moment(at(extraction.startOf(step.id))),
      end: moment(at(extraction.endOf(step.id))),
      ...(oven !== undefined && { oven }),
    };
  });
  const settings = workload.kitchen.ovens.flatMap((oven, index) => {
    const model = extraction.problem.ovens[index];
    const demands = extraction.steps
      .filter((step) => ovenOf(step) === oven.name)
      .flatMap((step) => placed(extraction, step, at, oven.tolerance))
      .toSorted((a, b) => a.start - b.start);
    if (!model) return [];
    return settingsFor(model, demands).map((setting): OvenSetting => ({
      ...setting,
      oven: oven.name,
      at: moment(setting.at),
      hotBy: moment(setting.hotBy),
    }));
  });
  // Sorting is stable: equal moments stay in the order of the workload.
  return {
    service,
    steps: steps.toSorted((a, b) => a.start - b.start),
    settings: settings.toSorted((a, b) => a.at - b.at),
  };
}

function placed(
  extraction: Extraction,
  step: Step,
  at: (point: number) => number,
  tolerance: number,
): PlacedDemand[] {
  const [start, end] = [at(extraction.startOf(step.id)), at(extraction.endOf(step.id))];
  if (!step.oven || end <= start) return [];
  const { demands } = extraction.problem;
  const demand = demands.find((other) => other.start === extraction.startOf(step.id));
  if (!demand) return [];
  let before = demand.before === undefined ? undefined : demands[demand.before];
  while (before && at(before.end) <= at(before.start))
    before = before.before === undefined ? undefined : demands[before.before];
  const takesOver =
    before !== undefined &&
    (demand.temperature === undefined ||
      (before.temperature !== undefined && demand.temperature <= before.temperature + tolerance));
  return [{ step: step.id, start, end, heat: step.oven.heat, temperature: demand.temperature, takesOver }];
}
