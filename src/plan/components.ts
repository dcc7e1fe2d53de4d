import type { z } from 'zod';
import { problem } from './diagnostic.ts';
import { componentId, type Component, type Kitchen, type Place } from './model.ts';
import type { Read } from './read.ts';
import type { planShape } from './shape.ts';
import { draftStep, type DraftStep, type StepContext } from './steps.ts';
import { keyPlaceIn, type Node } from './tree.ts';
import type { Report } from './diagnostic.ts';

export type PlanWords = Read<z.output<typeof planShape>>;

/** A component as far as it can be read alone. */
export interface DraftComponent {
  readonly component: Component;
  readonly steps: readonly DraftStep[];
  readonly stepsByName: ReadonlyMap<string, DraftStep>;
  /** Names of all steps in the file, also of those that could not be read: naming one of them is no second mistake. */
  readonly stepNames: ReadonlySet<string>;
}

/** A plan as far as its components can be read alone. */
export interface DraftPlan {
  readonly components: ReadonlyMap<string, DraftComponent>;
  /** Names of all components in the file, also of those that could not be read. */
  readonly componentNames: ReadonlySet<string>;
}

export interface PlanContext {
  /** The index of the plan in the workload. */
  readonly plan: number;
  /** Before the names of components: empty, or `plan/` where several plans are laid together. */
  readonly prefix: string;
  readonly kitchen: Kitchen | undefined;
  readonly pieces: number;
  readonly basePieces: number;
  readonly report: Report;
}

export function draftPlan(words: PlanWords, tree: Node, context: PlanContext): DraftPlan {
  const node = inner(tree, 'components');
  const components = new Map<string, DraftComponent>();
  for (const [name, component] of words.components ?? []) {
    components.set(name, draftComponent(name, component, inner(node, name), keyPlaceIn(node, name), context));
  }
  const componentNames = new Set(node.kind === 'map' ? node.entries.keys() : []);
  if (node !== tree && words.components && componentNames.size === 0) {
    const hint = 'write each as name: { steps: [ … ] }';
    context.report(
      problem('no-components', keyPlaceIn(tree, 'components'), 'the plan has no components', hint),
    );
  }
  return { components, componentNames };
}

type ComponentWords =
  NonNullable<PlanWords['components']> extends ReadonlyMap<string, infer Words> ? Words : never;

function draftComponent(
  name: string,
  words: ComponentWords,
  node: Node,
  place: Place,
  context: PlanContext,
): DraftComponent {
  const id = componentId(`${context.prefix}${name}`);
  const stepsByName = draftSteps(words, node, { ...context, component: id });
  const steps = [...stepsByName.values()];
  const list = inner(node, 'steps');
  const written = list.kind === 'list' ? list.items : [];
  if (words.steps?.length === 0) {
    const message = `"${name}" has no steps`;
    context.report(problem('no-steps', keyPlaceIn(node, 'steps'), message, 'write - whip: { takes: 5 min }'));
  }
  const component: Component = {
    id,
    name,
    title: words.title ?? name,
    plan: context.plan,
    ...(words.keeps !== undefined && { keeps: words.keeps }),
    ...(words.cooling !== undefined && { cooling: words.cooling }),
    ...(words.probe !== undefined && { probe: words.probe }),
    ...(words.depth !== undefined && { depth: words.depth }),
    steps: steps.map((draft) => draft.step),
    place,
  };
  const stepNames = new Set(written.flatMap((item) => (item.kind === 'map' ? [...item.entries.keys()] : [])));
  return { component, steps, stepsByName, stepNames };
}

function draftSteps(words: ComponentWords, node: Node, context: StepContext): Map<string, DraftStep> {
  const list = inner(node, 'steps');
  const drafts = new Map<string, DraftStep>();
  (words.steps ?? []).forEach((named, index) => {
    const item = list.kind === 'list' ? list.items[index] : undefined;
    if (!named || !item) return;
    for (const [name, step] of named) {
      const place = keyPlaceIn(item, name);
      const first = drafts.get(name);
      if (first) {
        const message = `a second step "${name}"; the first is on line ${first.step.place.line}`;
        context.report(problem('duplicate-name', place, message, 'give it a name of its own'));
        continue;
      }
      const site = { name, place, node: inner(item, name), index };
      drafts.set(name, draftStep(step, site, context));
    }
  });
  return drafts;
}

const inner = (node: Node, word: string): Node =>
  (node.kind === 'map' ? node.entries.get(word)?.value : undefined) ?? node;
