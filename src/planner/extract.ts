import type { Component, Step, StepId, Workload } from '../plan/index.ts';
import { lengthBounds, type Drafting } from './drafting.ts';
import { blocks } from './extract-claims.ts';
import { ovenDemands } from './extract-ovens.ts';
import { FIRST, ORIGIN, type Lag, type Problem } from './problem.ts';
import type { Rule } from './rules.ts';

/** A workload as a scheduling problem, and the way back. Times of the problem are seconds from the latest service. */
export interface Extraction {
  readonly problem: Problem;
  /** By the rule numbers of the problem. */
  readonly rules: readonly Rule[];
  /** Steps in the order of the workload. */
  readonly steps: readonly Step[];
  readonly startOf: (step: StepId) => number;
  readonly endOf: (step: StepId) => number;
  /** The group of each oven step. */
  readonly groupOf: ReadonlyMap<StepId, number>;
}

/** Service of each plan in whole seconds from the latest one (so none is above 0). */
export function extract(
  workload: Workload,
  services: readonly number[],
  margins: 'keep' | 'drop',
): Extraction {
  const steps = workload.components.flatMap((component) => component.steps);
  const places = new Map(steps.map((step, index) => [step.id, index]));
  const rules: Rule[] = [];
  const placeOf = (step: StepId): number => {
    const place = places.get(step);
    if (place === undefined) throw new Error(`the workload has no step "${step}"`);
    return place;
  };
  const point = (step: StepId, offset: number): number => FIRST + 1 + 2 * placeOf(step) + offset;
  const drafting: Drafting = {
    workload,
    steps,
    placeOf,
    startOf: (step) => point(step, 0),
    endOf: (step) => point(step, 1),
    rule: (rule) => rules.push(rule) - 1,
  };
  const { demands, groups, groupOf } = ovenDemands(drafting);
  const problem: Problem = {
    points: FIRST + 1 + 2 * steps.length,
    lags: lags(drafting, services, margins),
    starts: steps.map((step) => point(step.id, 0)),
    resources: blocks(drafting),
    ovens: workload.kitchen.ovens.map((oven) => ({
      shelves: oven.shelves,
      heats: oven.heats / 60,
      cools: oven.cools / 60,
      tolerance: oven.tolerance,
      soak: oven.soak,
      ambient: workload.kitchen.ambient,
    })),
    demands,
    groups,
  };
  return { problem, rules, steps, startOf: drafting.startOf, endOf: drafting.endOf, groupOf };
}

function lags(drafting: Drafting, services: readonly number[], margins: 'keep' | 'drop'): Lag[] {
  const found: Lag[] = [];
  for (const component of drafting.workload.components) {
    component.steps.forEach((step, place) => {
      found.push(...ofStep(drafting, step, component.steps[place - 1]));
    });
    found.push(...ofComponent(drafting, component, services[component.plan] ?? 0, margins));
  }
  return found;
}

function ofStep(drafting: Drafting, step: Step, before: Step | undefined): Lag[] {
  const { startOf, endOf, rule } = drafting;
  const [start, end] = [startOf(step.id), endOf(step.id)];
  const { least, most } = lengthBounds(step);
  const fixed = rule({ kind: 'length', step });
  const found: Lag[] = [
    { from: FIRST, to: start, weight: 0, rule: rule({ kind: 'begin', step }) },
    { from: start, to: end, weight: least, rule: fixed },
  ];
  if (most === least) found.push({ from: end, to: start, weight: -most, rule: fixed });
  else if (most < Infinity)
    found.push({
      from: end,
      to: start,
      weight: -most,
      rule: rule({ kind: 'rests at most', step, atMost: most }),
    });
  if (before) {
    const after = Math.ceil(step.after);
    found.push({
      from: endOf(before.id),
      to: start,
      weight: after,
      rule: rule({ kind: 'follows', step, before }),
    });
    if (step.within !== undefined) {
      const within =
        step.within >= step.after ? Math.max(after, Math.floor(step.within)) : Math.floor(step.within);
      found.push({
        from: start,
        to: endOf(before.id),
        weight: -within,
        rule: rule({ kind: 'within', step, before, within }),
      });
    }
  }
  for (const id of step.needs) {
    const needed = drafting.steps[drafting.placeOf(id)];
    if (needed)
      found.push({ from: endOf(id), to: start, weight: 0, rule: rule({ kind: 'needs', step, needed }) });
  }
  return found;
}

function ofComponent(
  drafting: Drafting,
  component: Component,
  service: number,
  margins: 'keep' | 'drop',
): Lag[] {
  const { endOf, rule, workload } = drafting;
  const plan = workload.plans[component.plan];
  const last = component.steps.at(-1);
  if (!plan || !last) return [];
  const margin = margins === 'keep' ? Math.ceil(plan.margin) : 0;
  const end = endOf(last.id);
  const found: Lag[] = [
    { from: end, to: ORIGIN, weight: margin - service, rule: rule({ kind: 'service', plan, last }) },
  ];
  if (component.keeps === undefined) return found;
  const keeps = Math.floor(component.keeps);
  const users = drafting.steps.filter((step) => step.needs.includes(last.id));
  for (const user of users) {
    const kept = rule({ kind: 'keeps', component, last, keeps, user });
    found.push({ from: endOf(user.id), to: end, weight: -keeps, rule: kept });
  }
  if (users.length === 0)
    found.push({
      from: ORIGIN,
      to: end,
      weight: service - keeps,
      rule: rule({ kind: 'keeps', component, last, keeps }),
    });
  return found;
}
