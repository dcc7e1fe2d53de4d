import type { EpochMs } from '../../units/index.ts';
import { contradictionsIn, planTimetable, type Refusal } from '../plan.ts';
import { refusalOf } from '../refusal.ts';
import { stepsOf, type Rule } from '../rules.ts';
import type { Derived } from './derive.ts';

/** Work for saying why, at most. */
const A_REASON = 1_500_000;

/**
 * Why a derived workload has no timetable that ends then, in the plan's own words. That every showing stands at its minute goes
 * without saying: what only says that is left out.
 */
export function reasonsFor(derived: Derived, ends: EpochMs, effort = A_REASON): readonly Refusal[] {
  const { workload } = derived;
  const request = { service: { kind: 'at' as const, moments: [ends] }, effort };
  const found = contradictionsIn(workload, request).map(({ rules, circle }) => {
    const told = rules.filter((rule) => !ofTheFrame(rule, derived));
    const refusal = refusalOf(workload, told.length > 0 ? told : rules, circle);
    const onAir = told.some(({ kind }) => kind === 'busy') && told.length < rules.length;
    return onAir ? { ...refusal, message: `${refusal.message}; meanwhile it is on air` } : refusal;
  });
  if (found.length > 0) return found;
  // Single steps that ask for more than there is.
  const result = planTimetable(workload, { ...request, reasons: 'tell' });
  return result.status === 'infeasible' ? result.reasons : [];
}

/** Its steps are talks, breaks, the air time itself, and showings that are not looked at; and that showings follow each other. */
function ofTheFrame(rule: Rule, { frame, showings }: Derived): boolean {
  const steps = stepsOf(rule);
  if (steps.every((step) => frame.has(step.component))) return true;
  if (rule.kind === 'service') return true;
  return rule.kind === 'needs' && (frame.has(rule.needed.component) || showings.includes(rule.needed.id));
}
