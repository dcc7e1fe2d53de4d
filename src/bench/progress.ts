import type { OvenStanding, Progress, StepStanding } from '../planner/index.ts';
import { later, plus, type EpochMs } from '../units/index.ts';
import { thereBy } from './bodies.ts';
import { expectedEnd } from './course.ts';
import { prudentEnd } from './forecast.ts';
import { lookup, must, ovenOf, planned, runsOf } from './lookup.ts';
import { reckonedHeat } from './oven-reckoning.ts';
import { isServed } from './service.ts';
import type { BenchState, StepRun } from './state.ts';
import { endsByClock, expectedLength } from './triggers.ts';
import { watchAt } from './watch.ts';

/**
 * How far a run has come at `now`, as the planner wants it: what is done as it was, what is going with what its range
 * still allows, everything else open (a lost component from its first step).
 *
 * A going step ends at the earliest when its shortest time is over, minutes that were given included, and never in the
 * past. Its likely end is what the bench itself reckons with: its usual end; once that has passed, the next of 1, 2, 3, 5,
 * 7, 10, 15 ... minutes after it, up to the end of its range; and where it has outrun its range, as many after that. A rest
 * is likely to end when it was told to, and not before it has been long enough. What ends at a temperature does not end before
 * its readings say that it will be there. Where a look ahead says that a clash hangs on it, it is reckoned at its longest.
 *
 * @param now the run's time; by default that of its latest event.
 */
export function progressOf(state: BenchState, now: EpochMs = state.time): Progress {
  const { workload } = state.setup;
  const { kitchen } = workload;
  return {
    now,
    steps: Object.fromEntries(
      [...runsOf(state).values()].map((run) => [run.step, standing(state, run, now)]),
    ),
    ovens: state.ovens.map((run): OvenStanding => ({
      oven: run.oven,
      celsius: reckonedHeat(must(lookup(workload).ovens, run.oven), kitchen.ambient, run, now),
      ...(run.heat.kind === 'at' ? { knob: run.heat.temperature.celsius } : {}),
      readyAt: run.readyAt,
    })),
    told: state.timetable,
    served: workload.plans.flatMap((_, plan) => (isServed(state, plan) ? [plan] : [])),
  };
}

function standing(state: BenchState, run: StepRun, now: EpochMs): StepStanding {
  switch (run.state) {
    case 'waiting':
      return { kind: 'open' };
    case 'skipped':
      return { kind: 'ended', start: run.endedAt, end: run.endedAt };
    case 'ended':
      return { kind: 'ended', start: run.startedAt, end: run.endedAt };
    case 'running': {
      const placed = must(lookup(state.setup.workload).placed, run.step);
      const { step } = placed;
      const start = run.startedAt;
      const there = thereBy(state, placed, run);
      const least =
        prudentEnd(state, step.id, watchAt(now)) ?? plus(start, expectedLength(step).low + run.extra);
      const shortest = later(now, least);
      const soonest = there === undefined ? shortest : later(shortest, there);
      const oven = ovenOf(state, step);
      const inOven = oven === undefined ? {} : { oven };
      if (step.length.kind === 'rest') {
        const told = must(planned(state.timetable).steps, step.id).end;
        return { kind: 'going', start, soonest, likely: later(soonest, told), ...inOven };
      }
      const likely = endsByClock(step) ? soonest : expectedEnd(state, placed, run, watchAt(now));
      return { kind: 'going', start, soonest, likely: later(soonest, likely), ...inOven };
    }
  }
}
