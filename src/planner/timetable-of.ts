import { ovenModel } from '../heat/index.ts';
import type { Step, Workload } from '../plan/index.ts';
import { epochMs, type EpochMs } from '../units/index.ts';
import type { Activity, Schedule } from './core/index.ts';
import type { Extraction } from './extract.ts';
import { degreesOf } from './extract-ovens.ts';
import { rises } from './oven-times.ts';
import { settingsFor, type OvenNow, type PlacedDemand } from './settings.ts';
import type { OvenSetting, PlannedStep, Timetable } from './timetable.ts';

/**
 * Reads a schedule back as a timetable; `base` is the moment the problem counts its seconds from. On the way, ovens stand as
 * they do now, and settings are those from now on.
 */
export function timetableOf(
  workload: Workload,
  extraction: Extraction,
  schedule: Schedule,
  base: EpochMs,
  service: readonly EpochMs[],
  ovens?: readonly OvenNow[],
): Timetable {
  const moment = (time: number): EpochMs => epochMs(base + time * 1000);
  const at = (point: number): number => schedule.times[point] ?? 0;
  const ovenOf = (step: Step): string | undefined => {
    const group = extraction.groupOf.get(step.id);
    const index = group === undefined ? -1 : (schedule.ovenOf[group] ?? -1);
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
    const standing = ovens?.[index];
    const demands = extraction.steps
      .filter((step) => ovenOf(step) === oven.name)
      .flatMap((step) => placed(extraction, step, at, oven.tolerance))
      .filter(({ end }) => !standing || end > standing.now)
      .toSorted((a, b) => a.start - b.start);
    return settingsFor(ovenModel(oven, workload.kitchen.ambient), demands, standing).map(
      (setting): OvenSetting => ({
        ...setting,
        oven: oven.name,
        at: moment(setting.at),
        hotBy: moment(setting.hotBy),
      }),
    );
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
  const lengthOf = ({ id }: Step): number => at(extraction.endOf(id)) - at(extraction.startOf(id));
  const group = extraction.groupOf.get(step.id);
  if (!step.oven || group === undefined || lengthOf(step) <= 0) return [];
  const run = extraction.steps.filter(({ id }) => extraction.groupOf.get(id) === group);
  const before = run.slice(0, run.indexOf(step)).findLast((earlier) => lengthOf(earlier) > 0);
  const temperature = degreesOf(step);
  return [
    {
      step: step.id,
      start: at(extraction.startOf(step.id)),
      end: at(extraction.endOf(step.id)),
      heat: step.oven.heat,
      temperature,
      takesOver: before !== undefined && !rises(tolerance, degreesOf(before), temperature),
    },
  ];
}

/**
 * A timetable as times of a problem's points. Points that are no steps' stand as early or as late as they may, and else where
 * work begins.
 */
export function scheduleOf(
  workload: Workload,
  extraction: Extraction,
  timetable: Timetable,
  base: EpochMs,
  activities: readonly Activity[],
): Schedule {
  const seconds = (moment: EpochMs): number => Math.floor((moment - base) / 1000);
  const begun = [...timetable.steps.map(({ start }) => start), ...timetable.settings.map(({ at }) => at)];
  const first = seconds(epochMs(Math.min(...begun)));
  const times = Int32Array.from(
    activities.flatMap(({ release, due }) => [release ?? due ?? first, due ?? release ?? first]),
  );
  const ovenOf = new Int32Array(extraction.problem.groups.length).fill(-1);
  for (const { step, start, end, oven } of timetable.steps) {
    times[extraction.startOf(step)] = seconds(start);
    times[extraction.endOf(step)] = seconds(end);
    const group = extraction.groupOf.get(step);
    if (group !== undefined) ovenOf[group] = workload.kitchen.ovens.findIndex(({ name }) => name === oven);
  }
  return { times, ovenOf };
}
