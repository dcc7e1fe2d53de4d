import type { StepId } from '../plan/index.ts';
import { earlier, epochMs, later, plus, secondsBetween, type EpochMs } from '../units/index.ts';
import { notBefore } from './ahead.ts';
import {
  componentRun,
  followsInOven,
  lookup,
  must,
  ovenOf,
  ovenRun,
  planned,
  runsOf,
  type Placed,
} from './lookup.ts';
import { reckonedHeat, rightBy, sameHeat } from './oven-machine.ts';
import type { BenchState, Clash, ExpectedStep, StepRun } from './state.ts';
import { expectedLength } from './triggers.ts';
import { expectedAnew, type Watch } from './watch.ts';

type Running = Extract<StepRun, { state: 'running' }>;
type Run = Pick<BenchState, 'setup' | 'timetable' | 'components' | 'ovens'>;

/** A planned wait shorter than this is no wait: what comes next is called at once, also when the step before ended early. */
const NO_WAIT_MS = 60_000;
/** An oven later than this is worth a word. */
const LATE_OVEN_S = 60;

/**
 * When a step is due once what it follows has ended at the moments that `endOf` gives: at once where the timetable plans
 * no wait, else when it is planned, and held back where what follows it closely would have to wait too long. `expected`
 * tells when steps of other components are expected to end.
 */
export function dueStart(
  run: Run,
  placed: Placed,
  endOf: (step: StepId) => EpochMs,
  expected: (step: StepId) => EpochMs,
): EpochMs {
  const { step, before } = placed;
  const plan = must(planned(run.timetable).steps, step.id);
  const plannedEnd = (id: StepId): EpochMs => must(planned(run.timetable).steps, id).end;
  const since = componentRun(run, placed.component.id).since;
  const possible = before ? plus(endOf(before.id), step.after) : since;
  const earliest = step.needs.map(endOf).reduce(later, later(since, possible));
  const sources = [
    ...step.needs.map(plannedEnd),
    ...(before ? [plus(plannedEnd(before.id), step.after)] : []),
  ];
  const isAtOnce = sources.length > 0 && plan.start - sources.reduce(later) <= NO_WAIT_MS;
  const wanted = notBefore(run, placed, expected).reduce(later, isAtOnce ? earliest : plan.start);
  const allowed = before && step.within !== undefined ? plus(endOf(before.id), step.within) : wanted;
  return later(earliest, earlier(wanted, allowed));
}

/** When a running step is expected to end: after its usual length; once that has passed, a little later each time. */
export function expectedEnd(run: Run, placed: Placed, running: Running, watch: Watch): EpochMs {
  const { usual, high } = expectedLength(placed.step);
  const usualEnd = plus(running.startedAt, usual + running.extra);
  if (placed.step.length.kind === 'rest') {
    const end = later(usualEnd, must(planned(run.timetable).steps, placed.step.id).end);
    return watch.reached(end) ? expectedAnew(end, watch) : end;
  }
  if (!watch.reached(usualEnd)) return usualEnd;
  const highEnd = plus(running.startedAt, high + running.extra);
  return watch.reached(highEnd)
    ? expectedAnew(highEnd, watch)
    : earlier(expectedAnew(usualEnd, watch), highEnd);
}

/** The steps that go into an oven before this one by the timetable and have not come out. */
export function stillBefore(run: Run, placed: Placed, oven: string): readonly StepId[] {
  const runs = runsOf(run);
  const own = must(planned(run.timetable).steps, placed.step.id);
  return run.timetable.steps
    .filter(
      (other) =>
        other.oven === oven && other.step !== own.step && other.start <= own.start && other.end <= own.start,
    )
    .filter((other) => ['running', 'waiting'].includes(must(runs, other.step).state))
    .map((other) => other.step);
}

/** When the oven will be right for a step that wants it hot, if the knob is turned when it is due. */
function ovenRightAt(
  run: Run,
  placed: Placed,
  oven: string,
  endOf: (step: StepId) => EpochMs,
  watch: Watch,
): EpochMs {
  const { workload } = run.setup;
  const model = must(lookup(workload).ovens, oven);
  const demand = placed.step.oven;
  const state = ovenRun(run, oven);
  if (!demand || !state || demand.heat.kind === 'off') return epochMs(0);
  const before = stillBefore(run, placed, oven);
  if (before.length === 0 && sameHeat(state.heat, demand.heat)) return state.readyAt;
  const setting = planned(run.timetable)
    .settings.get(placed.step.id)
    ?.find((each) => sameHeat(each.heat, demand.heat));
  if (!setting && before.length > 0) return epochMs(0);
  const due = before.map(endOf).reduce(later, setting?.at ?? run.setup.begunAt);
  const at = watch.reached(due) ? expectedAnew(due, watch) : due;
  const lastBefore = before.at(-1);
  const lastHeat =
    lastBefore === undefined ? undefined : must(lookup(workload).placed, lastBefore).step.oven?.heat;
  const from =
    lastHeat === undefined
      ? reckonedHeat(model, workload.kitchen.ambient, state, at)
      : lastHeat.kind === 'at'
        ? lastHeat.temperature.celsius
        : workload.kitchen.ambient;
  return rightBy(model, from, demand.heat, at);
}

/** How a run is expected to go on, each component for itself. */
export interface Course {
  /** The steps that are running or waiting, in the order of the timetable. */
  readonly steps: readonly ExpectedStep[];
  /** Where the oven will not be hot in time. */
  readonly late: readonly Clash[];
  /** When any step is expected to end, or did. */
  readonly endOf: (step: StepId) => EpochMs;
}

/** How every step that has not ended is expected to go, each component for itself, and where the oven will not be hot in time. */
export function expectedCourse(run: Run, watch: Watch): Course {
  const { placed: all } = lookup(run.setup.workload);
  const runs = runsOf(run);
  const known = new Map<StepId, ExpectedStep>();
  const late: Clash[] = [];
  const endOf = (id: StepId): EpochMs => expect(id).end;

  function expect(id: StepId): ExpectedStep {
    const done = known.get(id);
    if (done) return done;
    const placed = must(all, id);
    const found = course(placed, must(runs, id));
    known.set(id, found);
    return found;
  }

  function course(placed: Placed, stepRun: StepRun): ExpectedStep {
    const id = placed.step.id;
    const oven = ovenOf(run, placed.step);
    const inOven = oven === undefined ? {} : { oven };
    switch (stepRun.state) {
      case 'ended':
        return { step: id, start: stepRun.startedAt, end: stepRun.endedAt, ...inOven };
      case 'skipped':
        return { step: id, start: stepRun.endedAt, end: stepRun.endedAt, ...inOven };
      case 'running':
        return {
          step: id,
          start: stepRun.startedAt,
          end: expectedEnd(run, placed, stepRun, watch),
          ...inOven,
        };
      case 'waiting': {
        const due = dueStart(run, placed, endOf, endOf);
        let start = watch.reached(due) ? expectedAnew(due, watch) : due;
        if (oven !== undefined && !followsInOven(placed)) {
          const right = ovenRightAt(run, placed, oven, endOf, watch);
          if (secondsBetween(start, right) > LATE_OVEN_S) {
            late.push({
              kind: 'not hot',
              at: start,
              steps: [id],
              why: `the ${oven} will not be right before then`,
            });
          }
          start = later(start, right);
        }
        const plan = must(planned(run.timetable).steps, id);
        const usual = plus(start, expectedLength(placed.step).usual);
        const end = placed.step.length.kind === 'rest' ? later(usual, plan.end) : usual;
        return { step: id, start, end, ...inOven };
      }
    }
  }

  for (const { step } of run.timetable.steps) expect(step);
  const open = run.timetable.steps
    .filter(({ step }) => ['running', 'waiting'].includes(must(runs, step).state))
    .map(({ step }) => must(known, step));
  return { steps: open, late, endOf };
}
