import type { Component, Workload } from '../plan/index.ts';
import { componentMachine } from './component-machine.ts';

/** The statecharts of a workload's components as a Mermaid state diagram, read off the machines themselves. */
export function mermaid(workload: Workload): string {
  const lines = ['stateDiagram-v2'];
  for (const [index, component] of workload.components.entries())
    lines.push(...chart(component, `c${index}`));
  return `${lines.join('\n')}\n`;
}

interface ChartNode {
  readonly key: string;
  readonly id: string;
  readonly states: Readonly<Record<string, ChartNode>>;
  readonly on: Readonly<Record<string, readonly { readonly target: readonly ChartNode[] | undefined }[]>>;
  readonly initial: { readonly target: readonly ChartNode[] };
}

function chart(component: Component, prefix: string): string[] {
  const root: ChartNode = componentMachine(component).root;
  const names = new Map<string, string>();
  const name = (node: ChartNode): string => {
    const known = names.get(node.id) ?? `${prefix}_${names.size}`;
    names.set(node.id, known);
    return known;
  };
  const enter = (node: ChartNode): string => name(node.initial.target[0] ?? node);
  const arrows: string[] = [];
  const boxes: string[] = [];
  for (const step of Object.values(root.states)) {
    const inner = Object.values(step.states);
    if (inner.length === 0) {
      boxes.push(`    state "finished" as ${name(step)}`);
      continue;
    }
    boxes.push(`    state "${step.key}" as ${name(step)} {`);
    for (const state of inner) boxes.push(`      state "${state.key}" as ${name(state)}`);
    boxes.push(`      [*] --> ${enter(step)}`, '    }');
    for (const state of inner) {
      for (const [event, transitions] of Object.entries(state.on)) {
        const targets = new Set(transitions.flatMap((each) => each.target ?? []).map(name));
        for (const target of targets) arrows.push(`    ${name(state)} --> ${target}: ${event.toLowerCase()}`);
      }
    }
  }
  const first = Object.values(root.states)[0];
  return [
    `  state "${component.title}" as ${prefix} {`,
    ...boxes,
    ...(first ? [`    [*] --> ${name(first)}`] : []),
    ...arrows,
    '  }',
  ];
}
