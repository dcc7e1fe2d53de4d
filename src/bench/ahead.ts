import type { Step, StepId, Workload } from '../plan/index.ts';
import { plus, seconds, secondsBetween, type EpochMs, type Seconds } from '../units/index.ts';
import { followsInOven, lookup, must, ovenOf, ovenRun, planned, type Placed } from './lookup.ts';
import { sameHeat } from './oven-reckoning.ts';
import type { BenchState } from './state.ts';
import { expectedLength } from './triggers.ts';

/**
 * Something that a later step of the same component needs, where everything from this step on follows with short waits
 * only: begun too early, it would have to wait longer than it may (whipped cream for a custard that is not yet cold).
 */
export interface Ahead {
  readonly step: Step;
  /** Another component's step that must have ended. */
  readonly needs: readonly StepId[];
  /** From the start of the step in question to when it is wanted, in seconds, waits not counted. */
  readonly offset: Seconds;
  /** How long the waits and the rests in between may be drawn out: half of what is allowed, so that nothing waits to its limit. */
  readonly slack: Seconds;
}

const known = new WeakMap<Workload, Map<StepId, readonly Ahead[]>>();

/**
 * The earliest moment at which a step should start so that what follows it closely finds what it needs: components
 * that are expected late, and an oven that is still on its way. Nothing, where nothing lies ahead. What is there when it was
 * told to be holds nothing back, however much of the waits was planned.
 */
export function notBefore(
  run: Pick<BenchState, 'setup' | 'timetable' | 'ovens'>,
  placed: Placed,
  endOf: (step: StepId) => EpochMs,
): readonly EpochMs[] {
  const told = (id: StepId): EpochMs => must(planned(run.timetable).steps, id).start;
  return aheadOf(run.setup.workload, placed).flatMap(({ step, needs, offset, slack }) => {
    const wanted = [...needs.map(endOf), ...ovenRight(run, step)];
    const toldLater = secondsBetween(told(placed.step.id), told(step.id));
    return wanted.map((moment) => plus(moment, 0 - Math.max(offset + slack, toldLater)));
  });
}

function ovenRight(run: Pick<BenchState, 'setup' | 'timetable' | 'ovens'>, step: Step): EpochMs[] {
  const oven = ovenOf(run, step);
  const state = oven === undefined ? undefined : ovenRun(run, oven);
  const isOnItsWay =
    state && step.oven && step.oven.heat.kind === 'at' && sameHeat(state.heat, step.oven.heat);
  return isOnItsWay && !followsInOven(must(lookup(run.setup.workload).placed, step.id))
    ? [state.readyAt]
    : [];
}

/** What lies ahead of a step in this way, the nearest first. */
export function aheadOf(workload: Workload, placed: Placed): readonly Ahead[] {
  const found = known.get(workload) ?? new Map<StepId, readonly Ahead[]>();
  known.set(workload, found);
  const already = found.get(placed.step.id);
  if (already) return already;
  const { placed: all } = lookup(workload);
  const list: Ahead[] = [];
  let offset = 0;
  let slack = 0;
  let here = placed;
  while (here.next?.within !== undefined && restsLonger(here.step) < Infinity) {
    offset += expectedLength(here.step).usual + here.next.after;
    slack += (here.next.within - here.next.after + restsLonger(here.step)) / 2;
    here = must(all, here.next.id);
    // What waits for this very step cannot be waited for.
    const needs = here.step.needs.filter((need) => !comesAfter(workload, need, placed.step.id));
    list.push({ step: here.step, needs, offset: seconds(offset), slack: seconds(slack) });
  }
  found.set(placed.step.id, list);
  return list;
}

/** How much longer than it must be something may rest. */
const restsLonger = ({ length }: Step): number =>
  length.kind === 'rest' ? (length.atMost ?? Infinity) - length.atLeast : 0;

/** Whether a step can only come after another one. */
function comesAfter(workload: Workload, step: StepId, other: StepId): boolean {
  const { placed } = lookup(workload);
  const seen = new Set<StepId>();
  const open = [step];
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    if (id === other) return true;
    if (seen.has(id)) continue;
    seen.add(id);
    const here = must(placed, id);
    open.push(...here.step.needs, ...(here.before ? [here.before.id] : []));
  }
  return false;
}
