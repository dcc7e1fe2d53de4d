import type { Component, Step } from '../plan/index.ts';
import type { Lag } from './core/index.ts';
import { lengthBounds, type Drafting } from './drafting.ts';

/** What follows what, and within which time: order, waits, needs, keeping times, service. */
export function lagsOf(drafting: Drafting, margins: 'keep' | 'drop'): Lag[] {
  return drafting.workload.components.flatMap((component) => [
    ...component.steps.flatMap((step, place) => ofStep(drafting, step, component.steps[place - 1])),
    ...service(drafting, component, margins),
    ...keeping(drafting, component),
  ]);
}

function ofStep(drafting: Drafting, step: Step, before: Step | undefined): Lag[] {
  const { startOf, endOf, rule } = drafting;
  const [start, end] = [startOf(step.id), endOf(step.id)];
  const { least, most } = lengthBounds(step);
  const found: Lag[] = [];
  if (most > least && most < Infinity)
    found.push({
      from: end,
      to: start,
      weight: -most,
      rule: rule({ kind: 'rests at most', step, atMost: most }),
    });
  if (before) found.push(...waits(drafting, step, before));
  for (const id of step.needs) {
    const needed = drafting.steps[drafting.placeOf(id)];
    if (needed)
      found.push({ from: endOf(id), to: start, weight: 0, rule: rule({ kind: 'needs', step, needed }) });
  }
  return found;
}

function waits({ startOf, endOf, rule }: Drafting, step: Step, before: Step): Lag[] {
  const after = Math.ceil(step.after);
  const [end, start] = [endOf(before.id), startOf(step.id)];
  const follows: Lag = { from: end, to: start, weight: after, rule: rule({ kind: 'follows', step, before }) };
  if (step.within === undefined) return [follows];
  const within = longestWait(step, step.within);
  return [
    follows,
    { from: start, to: end, weight: -within, rule: rule({ kind: 'within', step, before, within }) },
  ];
}

/** The longest wait in whole seconds: a window narrower than a second still holds one whole second. */
const longestWait = (step: Step, within: number): number =>
  within >= step.after ? Math.max(Math.ceil(step.after), Math.floor(within)) : Math.floor(within);

function service(drafting: Drafting, component: Component, margins: 'keep' | 'drop'): Lag[] {
  const plan = drafting.workload.plans[component.plan];
  const served = drafting.served[component.plan];
  const last = component.steps.at(-1);
  if (!plan || !last || served === undefined) return [];
  const margin = margins === 'keep' ? Math.ceil(plan.margin) : 0;
  return [
    {
      from: drafting.endOf(last.id),
      to: served,
      weight: margin,
      rule: drafting.rule({ kind: 'service', plan, last }),
    },
  ];
}

function keeping(drafting: Drafting, component: Component): Lag[] {
  const last = component.steps.at(-1);
  if (component.keeps === undefined || !last) return [];
  const { endOf, rule } = drafting;
  const keeps = Math.floor(component.keeps);
  const end = endOf(last.id);
  const users = usersOf(drafting, last);
  const served = drafting.served[component.plan];
  if (users.length === 0 && served !== undefined)
    return [
      {
        from: served,
        to: end,
        weight: -keeps,
        rule: rule({ kind: 'keeps', component, last, keeps }),
      },
    ];
  return users.map((user) => ({
    from: endOf(user.id),
    to: end,
    weight: -keeps,
    rule: rule({ kind: 'keeps', component, last, keeps, user }),
  }));
}

/** The steps that need a component's last step. */
export const usersOf = ({ steps }: Drafting, last: Step): Step[] =>
  steps.filter((step) => step.needs.includes(last.id));
