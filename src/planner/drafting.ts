import type { Step, StepId, Workload } from '../plan/index.ts';
import type { Rule } from './rules.ts';

/** What the parts of the extraction share: points by step, and where new rules are written down. */
export interface Drafting {
  readonly workload: Workload;
  readonly steps: readonly Step[];
  /** Where a step stands among the steps. */
  readonly placeOf: (step: StepId) => number;
  readonly startOf: (step: StepId) => number;
  readonly endOf: (step: StepId) => number;
  /** Writes down a rule and gives its number. */
  readonly rule: (rule: Rule) => number;
}

/** Bounds of a step's length in whole seconds. */
export function lengthBounds(step: Step): { readonly least: number; readonly most: number } {
  const { length } = step;
  if (length.kind !== 'rest') {
    const usual = Math.ceil(length.range.usual);
    return { least: usual, most: usual };
  }
  const least = Math.ceil(length.atLeast);
  return { least, most: length.atMost === undefined ? Infinity : Math.max(least, Math.floor(length.atMost)) };
}
