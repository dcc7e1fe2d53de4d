import type { EpochMs } from '../units/index.ts';
import { stepComponent, type ComponentEvent } from './component-machine.ts';
import { stepLines } from './log.ts';
import type { Placed } from './lookup.ts';
import type { BenchState, LogLine } from './state.ts';

/** Gives one event to the machine of one component. */
export function toComponent(
  state: BenchState,
  { component, name }: Placed,
  event: ComponentEvent,
  knownAt: EpochMs,
): BenchState {
  const lines: LogLine[] = [];
  const components = state.components.map((run) => {
    if (run.component !== component.id) return run;
    const next = stepComponent(component, run, event);
    lines.push(...stepLines(component, name, run, next, knownAt));
    return next;
  });
  return { ...state, components, log: [...state.log, ...lines] };
}
