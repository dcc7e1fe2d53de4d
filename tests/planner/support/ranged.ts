import fc from 'fast-check';
import type { Workload } from '../../../src/plan/index.ts';
import { seconds } from '../../../src/units/index.ts';

/** Lengths that are ranges: from a third less to half more, as the luck has it. */
export function ranged(of: Workload, luck: readonly number[]): Workload {
  let place = 0;
  const next = (): number => luck[place++ % luck.length] ?? 0;
  return {
    ...of,
    components: of.components.map((component) => ({
      ...component,
      steps: component.steps.map((each) => {
        const { length } = each;
        // A simulated cook cannot take anything out of their own hands.
        if (length.kind === 'rest') return { ...each, hands: each.hands === 'busy' ? 'free' : each.hands };
        // What takes no time asks nothing of an oven or of hands, but the bench waits for them.
        const usual = seconds(Math.max(60, length.range.usual));
        const range = {
          low: seconds(Math.floor(usual * (1 - next() / 3))),
          usual,
          high: seconds(Math.ceil(usual * (1 + next() / 2))),
        };
        return { ...each, length: { ...length, range } };
      }),
    })),
  };
}

/** What {@link ranged} takes: shares of the widest range. */
export const ranges = fc.array(fc.constantFrom(0, 0.2, 0.5), { minLength: 6, maxLength: 12 });
