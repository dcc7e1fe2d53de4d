import { epochMs, type EpochMs } from '../units/index.ts';

/**
 * One moment as the machine's clocks saw it. The wall clock can be stepped and the uptime starts again with the
 * machine; together they tell a stepped clock from time that has passed.
 */
export interface Moment {
  /** The wall clock, ms since the epoch. */
  readonly wall: EpochMs;
  /** Milliseconds since the machine was started, sleep included. */
  readonly elapsed: number;
  /** Names this start of the machine; empty where the system does not tell. */
  readonly boot: string;
}

/** An event's time in the run, and what the clocks showed when it was committed. */
export interface Stamp extends Moment {
  readonly time: EpochMs;
}

/** How far the run's time has come by now, and what that is known from. */
export interface RunTime {
  readonly time: EpochMs;
  /**
   * `uptime`: the machine has not been started since, so what passed is known however the wall clock was set.
   * `wall`: it has been, and the wall clock went on. `wall behind`: it shows a time before the last event, so how much
   * passed is not known; the run goes on from its last event.
   */
  readonly from: 'uptime' | 'wall' | 'wall behind';
}

/**
 * The run's time at `now`, for a run whose last event was committed at `last`. Never before the last event.
 * What passed counts from the commit, not from the wall clock's figure for the event, so a run that already
 * goes in its own time (the clock was stepped under it) keeps it.
 */
export function runTimeAt(last: Stamp, now: Moment): RunTime {
  if (now.boot !== '' && now.boot === last.boot && now.elapsed >= last.elapsed) {
    return { time: epochMs(last.time + Math.round(now.elapsed - last.elapsed)), from: 'uptime' };
  }
  if (now.wall >= last.wall) return { time: epochMs(last.time + (now.wall - last.wall)), from: 'wall' };
  return { time: last.time, from: 'wall behind' };
}
