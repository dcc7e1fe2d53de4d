import { readFileSync } from 'node:fs';
import { uptime } from 'node:os';
import type { Moment } from '../journal/index.ts';
import { epochMs, type EpochMs } from '../units/index.ts';

/** The machine's clocks, handed in so that tests and rehearsals bring their own. */
export interface Clock {
  /** The wall clock. It can be stepped either way. */
  wall(): EpochMs;
  /** Milliseconds since the machine was started, sleep included; never backwards. */
  elapsed(): number;
  /** Names this start of the machine; empty where the system does not tell. */
  readonly boot: string;
}

/** What all the clocks show now. */
export const momentOf = (clock: Clock): Moment => ({
  wall: clock.wall(),
  elapsed: clock.elapsed(),
  boot: clock.boot,
});

/** The steady timer of a process stops while the machine sleeps; the uptime does not. Above this they have parted by sleep. */
const SLEPT_MS = 1500;

/**
 * The clocks of this machine. `elapsed` has the fineness of the process's steady timer and the reach of the system's
 * uptime (10 ms on Linux, up to 1 s elsewhere), which counts sleep. A virtual machine that is paused from outside cannot
 * be told from a stepped wall clock.
 */
export function machineClock(): Clock {
  let offset = uptime() * 1000 - performance.now();
  return {
    wall: () => epochMs(Date.now()),
    elapsed() {
      const slept = uptime() * 1000 - (performance.now() + offset);
      if (slept > SLEPT_MS) offset += slept;
      return performance.now() + offset;
    },
    boot: bootName(),
  };
}

function bootName(): string {
  try {
    return readFileSync('/proc/sys/kernel/random/boot_id', 'latin1').trim();
  } catch {
    return '';
  }
}

/** A clock that moves only when it is told to. */
export interface SimulatedClock extends Clock {
  /** Time passes. */
  advance(ms: number): void;
  /** Somebody sets the wall clock; no time passes. */
  step(ms: number): void;
}

export function simulatedClock(start: EpochMs, boot = 'simulated'): SimulatedClock {
  let wall: number = start;
  let elapsed = 0;
  return {
    wall: () => epochMs(wall),
    elapsed: () => elapsed,
    boot,
    advance(ms) {
      wall += ms;
      elapsed += ms;
    },
    step(ms) {
      wall += ms;
    },
  };
}
