import type { StepId } from '../plan/index.ts';
import { AT_ONCE_S, type OvenSetting } from '../planner/index.ts';
import { earlier, later, plus, secondsBetween, wallClock, type EpochMs } from '../units/index.ts';
import { notBefore } from './ahead.ts';
import { thereBy } from './bodies.ts';
import {
  called,
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
import { firstShowing } from './showings.ts';
import { afterOff, reckonedHeat, rightBy, sameHeat } from './oven-reckoning.ts';
import type { BenchState, Clash, ExpectedStep, StepRun } from './state.ts';
import { expectedLength } from './triggers.ts';
import { expectedAnew, type Watch } from './watch.ts';

type Running = Extract<StepRun, { state: 'running' }>;
type Run = Pick<BenchState, 'setup' | 'timetable' | 'components' | 'ovens' | 'probes' | 'spoilt'>;

/** An oven that is later than this is worth a word in any case; one that is less late, if a window breaks or its knob was forgotten. */
const LATE_OVEN_S = 300;
/** Less than this is no lateness, and a knob that is turned so late is not forgotten. */
const PUNCTUAL_S = 60;
const FORGOTTEN_S = 120;

/**
 * When a step is due once what it follows has ended at the moments that `endOf` gives: at once where the timetable plans
 * no wait, else when it is planned, and held back where what follows it closely would have to wait too long. `available`
 * tells when what other components make is expected to be there.
 */
export function dueStart(
  run: Run,
  placed: Placed,
  endOf: (step: StepId) => EpochMs,
  available: (step: StepId) => EpochMs,
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
  // A demonstration goes on air at its time, however early everybody is at their places.
  const goesOnAir = firstShowing(run)?.step === step.id;
  const isAtOnce =
    !goesOnAir && sources.length > 0 && secondsBetween(sources.reduce(later), plan.start) <= AT_ONCE_S;
  const wanted = notBefore(run, placed, available).reduce(later, isAtOnce ? earliest : plan.start);
  const allowed = before && step.within !== undefined ? plus(endOf(before.id), step.within) : wanted;
  return later(earliest, earlier(wanted, allowed));
}

/** When a running step is expected to end: after its usual length; once that has passed, a little later each time. */
export function expectedEnd(run: Run, placed: Placed, running: Running, watch: Watch): EpochMs {
  const { usual, high } = expectedLength(placed.step);
  const usualEnd = plus(running.startedAt, usual + running.extra);
  const there = thereBy(run, placed, running);
  if (placed.step.length.kind === 'rest') {
    const told = later(usualEnd, must(planned(run.timetable).steps, placed.step.id).end);
    const end = there === undefined ? told : later(told, there);
    return watch.reached(end) ? expectedAnew(end, watch) : end;
  }
  if (there !== undefined) return watch.reached(there) ? expectedAnew(there, watch) : there;
  if (!watch.reached(usualEnd)) return usualEnd;
  const highEnd = plus(running.startedAt, high + running.extra);
  return watch.reached(highEnd)
    ? expectedAnew(highEnd, watch)
    : earlier(expectedAnew(usualEnd, watch), highEnd);
}

/** The steps that go into an oven before this one by the timetable, in order. */
function earlierIn(run: Run, placed: Placed, oven: string): readonly StepId[] {
  const own = must(planned(run.timetable).steps, placed.step.id);
  return run.timetable.steps
    .filter((other) => other.oven === oven && other.step !== own.step)
    .filter((other) => other.start <= own.start && other.end <= own.start)
    .map((other) => other.step);
}

/** Those of them that have not come out. */
export function stillBefore(run: Run, placed: Placed, oven: string): readonly StepId[] {
  const runs = runsOf(run);
  return earlierIn(run, placed, oven).filter((id) => ['running', 'waiting'].includes(must(runs, id).state));
}

/** When the knob is to be turned ahead of a step: when it is planned, and not before what bakes there is out. */
export function knobMoment(
  run: Run,
  placed: Placed,
  setting: Pick<OvenSetting, 'oven' | 'at'>,
  endOf: (step: StepId) => EpochMs,
): EpochMs {
  return earlierIn(run, placed, setting.oven).map(endOf).reduce(later, setting.at);
}

/** How the oven comes to be right for a step that wants it hot. */
interface OvenOutlook {
  /** When it will be, if the knob is turned when it is due. */
  readonly rightAt: EpochMs;
  /** The load that has to come out first. */
  readonly behind?: StepId;
  /** When the knob was to be turned, where it was not. */
  readonly knobDue?: EpochMs;
}

function ovenOutlook(
  run: Run,
  placed: Placed,
  oven: string,
  endOf: (step: StepId) => EpochMs,
  watch: Watch,
): OvenOutlook | undefined {
  const { workload } = run.setup;
  const { ambient } = workload.kitchen;
  const model = must(lookup(workload).ovens, oven);
  const demand = placed.step.oven;
  const state = ovenRun(run, oven);
  if (!demand || !state || demand.heat.kind === 'off') return undefined;
  const before = stillBefore(run, placed, oven);
  const behind = before.at(-1);
  if (behind === undefined && sameHeat(state.heat, demand.heat)) return { rightAt: state.readyAt };
  const setting = planned(run.timetable)
    .settings.get(placed.step.id)
    ?.find((each) => sameHeat(each.heat, demand.heat));
  if (!setting && behind !== undefined) return undefined;
  const knobDue = knobMoment(run, placed, { oven, at: setting?.at ?? run.setup.begunAt }, endOf);
  const at = watch.reached(knobDue) ? expectedAnew(knobDue, watch) : knobDue;
  if (behind === undefined) {
    const from = reckonedHeat(model, ambient, state, at);
    return { rightAt: rightBy(model, ambient, from, demand.heat, at), knobDue };
  }
  const lastHeat = must(lookup(workload).placed, behind).step.oven?.heat;
  const hot = lastHeat?.kind === 'at' ? lastHeat.temperature.celsius : ambient;
  // Where it is turned off after that load, it falls until the knob is turned again.
  const isOff =
    planned(run.timetable)
      .settings.get(behind)
      ?.some(({ heat }) => heat.kind === 'off') === true;
  const from = isOff ? afterOff(model, ambient, hot, secondsBetween(endOf(behind), at)) : hot;
  return { rightAt: rightBy(model, ambient, from, demand.heat, at), behind };
}

/** What is to be said of an oven that will not be right when a step wants to go in; nothing, where it does not matter. */
function lateOven(
  run: Run,
  placed: Placed,
  oven: string,
  wanted: EpochMs,
  outlook: OvenOutlook,
  endOf: (step: StepId) => EpochMs,
  watch: Watch,
): Clash[] {
  const { step, before } = placed;
  const lateness = secondsBetween(wanted, outlook.rightAt);
  if (lateness <= PUNCTUAL_S) return [];
  const limit = before && step.within !== undefined ? plus(endOf(before.id), step.within) : undefined;
  const breaksWindow = limit !== undefined && outlook.rightAt > limit;
  const isForgotten = outlook.knobDue !== undefined && watch.reached(plus(outlook.knobDue, FORGOTTEN_S));
  if (!breaksWindow && !isForgotten && lateness <= LATE_OVEN_S) return [];
  const clock = (moment: EpochMs): string => wallClock(moment, run.setup.workload.kitchen.timeZone);
  const wants = `${called(placed)} wants the ${oven} right at ${clock(wanted)}, and it will be at ${clock(outlook.rightAt)}`;
  const { behind } = outlook;
  if (behind === undefined) return [{ kind: 'not hot', at: wanted, steps: [step.id], why: wants }];
  const inIt = `${called(must(lookup(run.setup.workload).placed, behind))} is in it until ${clock(endOf(behind))}`;
  return [{ kind: 'oven', at: wanted, steps: [behind, step.id], why: `${wants}: ${inIt}` }];
}

/** How a run is expected to go on, each component for itself. */
export interface Course {
  /** The steps that are running or waiting, in the order of the timetable. */
  readonly steps: readonly ExpectedStep[];
  /** Where the oven will not be hot in time. */
  readonly late: readonly Clash[];
  /** When any step is expected to end, or did. */
  readonly endOf: (step: StepId) => EpochMs;
  /** When what a step makes can be had: its end, and for a rest when it has been long enough. */
  readonly availableOf: (step: StepId) => EpochMs;
}

/** How every step that has not ended is expected to go, each component for itself, and where the oven will not be hot in time. */
export function expectedCourse(run: Run, watch: Watch): Course {
  const { placed: all } = lookup(run.setup.workload);
  const runs = runsOf(run);
  const known = new Map<StepId, ExpectedStep>();
  const late: Clash[] = [];
  const endOf = (id: StepId): EpochMs => expect(id).end;
  const availableOf = (id: StepId): EpochMs => {
    const { start, end } = expect(id);
    const stepRun = must(runs, id);
    const { step } = must(all, id);
    if (step.length.kind !== 'rest' || stepRun.state === 'ended' || stepRun.state === 'skipped') return end;
    const enough = plus(
      start,
      expectedLength(step).usual + (stepRun.state === 'running' ? stepRun.extra : 0),
    );
    const there = stepRun.state === 'running' ? thereBy(run, must(all, id), stepRun) : undefined;
    return there === undefined ? enough : later(enough, there);
  };

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
        const due = dueStart(run, placed, endOf, availableOf);
        const wanted = watch.reached(due) ? expectedAnew(due, watch) : due;
        let start = wanted;
        if (oven !== undefined && !followsInOven(placed)) {
          const outlook = ovenOutlook(run, placed, oven, endOf, watch);
          if (outlook) {
            late.push(...lateOven(run, placed, oven, start, outlook, endOf, watch));
            start = later(start, outlook.rightAt);
          }
        }
        const plan = must(planned(run.timetable).steps, id);
        const usual = plus(start, expectedLength(placed.step).usual + (stepRun.extra ?? 0));
        const end = placed.step.length.kind === 'rest' ? later(usual, plan.end) : usual;
        return { step: id, start, end, ...inOven, ...(start > wanted ? { wanted } : {}) };
      }
    }
  }

  for (const { step } of run.timetable.steps) expect(step);
  const open = run.timetable.steps
    .filter(({ step }) => ['running', 'waiting'].includes(must(runs, step).state))
    .map(({ step }) => must(known, step));
  return { steps: open, late, endOf, availableOf };
}
