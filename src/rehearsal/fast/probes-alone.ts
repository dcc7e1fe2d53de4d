import { usualProbe } from '../../heat/index.ts';
import { probesAsked, type Trigger, type Workload } from '../../plan/index.ts';
import { heldAt, inScaleOf, probesOf } from '../probes.ts';

/** Whether readings alone end a step once all its probes have been read within their goals. */
export function endsAtProbe(trigger: Trigger): boolean {
  switch (trigger.kind) {
    case 'cue':
      return false;
    case 'probe':
    case 'join':
      return true;
    case 'any':
      return trigger.of.some(endsAtProbe);
    case 'all':
      return trigger.of.every(endsAtProbe);
  }
}

/**
 * Whether each probe of a step is read for one goal, and is believed there, so that a reading does just what it was taken for:
 * ends its step. Where not, only the bench can tell what a reading does.
 */
export function readingsAreSimple({ kitchen, components }: Workload): boolean {
  for (const component of components) {
    for (const step of component.steps) {
      const names = probesAsked(step.until);
      if (new Set(names).size < names.length) return false;
      for (const trigger of probesOf(step)) {
        const probe = kitchen.probes?.find(({ name }) => name === trigger.probe) ?? usualProbe(trigger.probe);
        const { celsius } = inScaleOf(trigger.goal, heldAt(trigger, kitchen));
        // With a margin for what rounding and the probe's own error make of the figure.
        const isBelieved = celsius > probe.low + 5 && celsius < probe.high - 5;
        const { goal } = trigger;
        const isWide = goal.kind !== 'between' || goal.high.celsius - goal.low.celsius >= 0.5;
        if (probe.oven !== undefined || !isBelieved || !isWide) return false;
      }
    }
  }
  return true;
}
