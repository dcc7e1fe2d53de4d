import { outOfCold, rulesNamed, type CoolingRules, type OutOfColdLimit } from '../heat/index.ts';
import type { Component, Step } from '../plan/index.ts';
import { later, type EpochMs, type Seconds } from '../units/index.ts';
import { isInTheCold, isOnTheHeat } from './cooling.ts';
import { lookup, must, runsOf } from './lookup.ts';
import { isServed } from './service.ts';
import type { BenchState, StepRun } from './state.ts';

/** A stretch in which food that had been cold was out of the cold; without an end it is out still. */
export interface Trip {
  readonly from: EpochMs;
  readonly to?: EpochMs;
}

type Run = Pick<BenchState, 'setup' | 'timetable' | 'components' | 'servings'>;
type Begun = Extract<StepRun, { startedAt: EpochMs }>;

/** How long a component's food has been out of the cold, and what the chosen rules say of that. */
export interface TimeOut {
  readonly rules: CoolingRules;
  readonly total: Seconds;
  /** It is out now. */
  readonly isOut: boolean;
  readonly limits: readonly OutOfColdLimit[];
}

/** Time out of the cold in all, for a component whose cooling is watched, by rules that speak of it, once it has been cold. */
export function timeOut(state: Run, component: Component, now: EpochMs): TimeOut | undefined {
  const rules = rulesNamed(state.setup.workload.kitchen.rules);
  if (component.cooling === undefined || !rules || rules.outOfCold.length === 0) return undefined;
  const trips = tripsOf(state, component);
  if (trips.length === 0) return undefined;
  const isOut = trips.at(-1)?.to === undefined;
  return { rules, total: outOfCold(trips, now), isOut, limits: rules.outOfCold };
}

/**
 * Every trip of a component's food out of the cold, in order: from the end of a step on a cold shelf to the start of the
 * next one, in its own steps and in those of what it goes into, until it is served or heated. Before it was ever in the
 * cold there are none: that is cooling.
 */
function tripsOf(state: Run, component: Component): readonly Trip[] {
  const { stays, heatedAt } = courseOf(state, component);
  const end = heatedAt ?? (isServed(state, component.plan) ? state.servings.at(-1) : undefined);
  const trips: Trip[] = [];
  let out: EpochMs | undefined;
  for (const { from, to } of stays) {
    if (out !== undefined && from > out) trips.push({ from: out, to: from });
    if (to === undefined) return trips;
    out = out === undefined ? to : later(out, to);
  }
  if (out === undefined) return trips;
  if (end === undefined) return [...trips, { from: out }];
  return end > out ? [...trips, { from: out, to: end }] : trips;
}

/**
 * When a component's food stood in the cold, in order, up to where it was heated. What no cook took out (a clock or a probe
 * ended the step) is taken to stand there until the next step begins.
 */
function courseOf(
  state: Run,
  component: Component,
): { readonly stays: readonly Trip[]; readonly heatedAt?: EpochMs } {
  const { kitchen } = state.setup.workload;
  const runs = runsOf(state);
  const begun = stepsOf(state, component)
    .flatMap((step): { readonly step: Step; readonly run: Begun }[] => {
      const run = must(runs, step.id);
      return 'startedAt' in run ? [{ step, run }] : [];
    })
    .toSorted((a, b) => a.run.startedAt - b.run.startedAt);
  const stays: Trip[] = [];
  for (const [index, { step, run }] of begun.entries()) {
    if (isInTheCold(kitchen, step)) {
      const to =
        run.state === 'running'
          ? undefined
          : run.by === 'cook'
            ? run.endedAt
            : begun.slice(index + 1).find((after) => after.run.startedAt >= run.endedAt)?.run.startedAt;
      stays.push({ from: run.startedAt, ...(to === undefined ? {} : { to }) });
    } else if (stays.length > 0 && isOnTheHeat(kitchen, step)) {
      return { stays, heatedAt: run.startedAt };
    }
  }
  return { stays };
}

/** The steps that a component's food goes through: its own, and those of what it goes into, from where it does. */
function stepsOf({ setup }: Run, component: Component): readonly Step[] {
  const { users, placed } = lookup(setup.workload);
  const steps = new Set(component.steps);
  // The set grows while it is walked: each last step leads on to what needs it.
  for (const step of steps) {
    if (must(placed, step.id).next) continue;
    for (const user of users.get(step.component) ?? []) {
      const { component: other, index } = must(placed, user.id);
      for (const next of other.steps.slice(index)) steps.add(next);
    }
  }
  return [...steps];
}
