import type { OvenHeat, StepId } from '../plan/index.ts';
import type { EpochMs } from '../units/index.ts';

/** When a step is to start and end. Whole seconds, in milliseconds since the epoch. */
export interface PlannedStep {
  readonly step: StepId;
  readonly start: EpochMs;
  readonly end: EpochMs;
  /** The oven chosen for it, for a step with an oven demand. */
  readonly oven?: string;
}

/** Something the cook must set on an oven, so that the oven is right when `step` starts. */
export interface OvenSetting {
  readonly oven: string;
  readonly heat: OvenHeat;
  /** When to turn the knob: for a warming oven the demand's start less heating time and soak; for a lowering within a bake the start itself. */
  readonly at: EpochMs;
  /** When the oven is to be right: the start of the demand it is for. Never before `at`. */
  readonly hotBy: EpochMs;
  readonly step: StepId;
}

/** Plain data: it survives JSON. Steps in order of start, then of the workload. */
export interface Timetable {
  /** One moment of service for each plan of the workload. */
  readonly service: readonly EpochMs[];
  readonly steps: readonly PlannedStep[];
  readonly settings: readonly OvenSetting[];
}
