import type { DraftComponent, DraftPlan } from './components.ts';
import { problem, type Report } from './diagnostic.ts';
import type { Component, HeldClaim, Step, StepId } from './model.ts';
import { suggest } from './nearest.ts';
import type { DraftStep, Mention } from './steps.ts';

/** A wait of one step for another that the plan states with `needs`, and where. */
export interface Need extends Mention {
  readonly step: StepId;
  readonly needed: StepId;
}

/** A claim kept from one step to the end of another, and where the plan says so. */
export interface Hold extends Mention {
  readonly step: StepId;
  readonly until: StepId;
}

/** A plan whose names have been looked up. */
export interface LinkedPlan {
  readonly components: readonly Component[];
  readonly needs: readonly Need[];
  readonly holds: readonly Hold[];
}

/** Looks up every name that a step gives of another, and reports those that name nothing. */
export function linkPlan(plan: DraftPlan, report: Report): LinkedPlan {
  const needs: Need[] = [];
  const holds: Hold[] = [];
  const components = [...plan.components.values()].map((owner): Component => {
    const steps = owner.steps.map((draft): Step => {
      const needed = draft.needs.flatMap((mention) => {
        const found = neededStep(mention, owner, plan, report);
        if (found) needs.push({ ...mention, step: draft.step.id, needed: found });
        return found ? [found] : [];
      });
      const held = draft.holds.flatMap(({ item, count, ...mention }): HeldClaim[] => {
        const until = heldUntil(mention, draft, owner, plan, report);
        if (until) holds.push({ ...mention, step: draft.step.id, until });
        return until ? [{ item, count, until }] : [];
      });
      return { ...draft.step, needs: [...new Set(needed)], holds: held };
    });
    return { ...owner.component, steps };
  });
  return { components, needs, holds };
}

const REFERENCE_HINT = 'write the name of a component, or component.step';

/** A needed component is its last step. */
function neededStep(
  mention: Mention,
  owner: DraftComponent,
  plan: DraftPlan,
  report: Report,
): StepId | undefined {
  const { text, place } = mention;
  const [componentName = '', stepName, ...more] = text.split('.').map((part) => part.trim());
  if (more.length > 0) {
    report(problem('unknown-step', place, `"${text}" names no step`, REFERENCE_HINT));
    return undefined;
  }
  if (componentName === owner.component.name) {
    const hint = 'steps of one component follow each other anyway: leave it out';
    report(problem('needs-itself', place, `"${componentName}" needs itself`, hint));
    return undefined;
  }
  const component = plan.components.get(componentName);
  if (!component) {
    if (!plan.componentNames.has(componentName)) report(unknownComponent(componentName, mention, plan));
    return undefined;
  }
  return stepName === undefined
    ? component.steps.at(-1)?.step.id
    : stepNamed(stepName, component, mention, report)?.step.id;
}

function unknownComponent(name: string, { place }: Mention, plan: DraftPlan) {
  const withStep = [...plan.components.values()].find((component) => component.stepNames.has(name));
  const hint = withStep
    ? `did you mean "${withStep.component.name}.${name}"?`
    : suggest(name, [...plan.componentNames], REFERENCE_HINT);
  return problem('unknown-component', place, `there is no component "${name}"`, hint);
}

function stepNamed(
  name: string,
  component: DraftComponent,
  { place }: Mention,
  report: Report,
): DraftStep | undefined {
  const found = component.stepsByName.get(name);
  if (!found && !component.stepNames.has(name)) {
    const message = `"${component.component.name}" has no step "${name}"`;
    report(problem('unknown-step', place, message, suggest(name, [...component.stepNames], REFERENCE_HINT)));
  }
  return found;
}

/** A bare name is a later step of the same component. Whether another component's step is later is for the graph to say. */
function heldUntil(
  mention: Mention,
  holder: DraftStep,
  owner: DraftComponent,
  plan: DraftPlan,
  report: Report,
): StepId | undefined {
  const { text, place } = mention;
  const [first = '', second, ...more] = text.split('.').map((part) => part.trim());
  if (more.length > 0) {
    report(
      problem('unknown-step', place, `"${text}" names no step`, 'write a later step, or component.step'),
    );
    return undefined;
  }
  const component = second === undefined ? owner : plan.components.get(first);
  if (!component) {
    if (!plan.componentNames.has(first)) report(unknownComponent(first, mention, plan));
    return undefined;
  }
  const until = stepNamed(second ?? first, component, mention, report);
  if (!until) return undefined;
  if (component !== owner || until.index > holder.index) return until.step.id;
  const message =
    until === holder
      ? 'a claim is kept to a later step, not to the same'
      : `"${text}" comes before this step`;
  report(problem('bad-hold', place, message, 'name a later step; "uses" claims for the step itself'));
  return undefined;
}
