import { epochMs, later, type EpochMs } from '../units/index.ts';
import type { Clock } from './clock.ts';

/** The run's own time: it starts where it is told to and goes with the elapsed time, whatever the wall clock is set to. */
export interface RunClock {
  /** Whole milliseconds, never backwards. */
  now(): EpochMs;
  /**
   * Whether the wall clock has parted from the run by more than two seconds since it was last asked and said so.
   * Says so once for each step, and then takes the new distance for granted.
   */
  wallStepped(): boolean;
}

const STEP_MS = 2000;

export function runClock(clock: Clock, start: EpochMs): RunClock {
  const origin = clock.elapsed();
  let latest = start;
  const now = (): EpochMs => {
    latest = later(latest, epochMs(Math.floor(start + clock.elapsed() - origin)));
    return latest;
  };
  let distance = clock.wall() - start;
  return {
    now,
    wallStepped() {
      const present = clock.wall() - now();
      if (Math.abs(present - distance) <= STEP_MS) return false;
      distance = present;
      return true;
    },
  };
}
