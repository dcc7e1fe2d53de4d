import type { CoolingLimit, CoolingRules } from '../heat/index.ts';
import type { Component } from '../plan/index.ts';
import { roughly } from '../units/index.ts';

/** A limit as a sentence goes on: `57 to 21 C within 2 h`, `to 3 C within 2 h 30 of leaving the heat`. */
export function limitWords({ from, to, within }: CoolingLimit, { cooling }: Component): string {
  if (from !== undefined) return `${from} to ${to} C within ${roughly(within)}`;
  return `to ${to} C within ${roughly(within)} of ${cooling === 'ambient' ? 'being begun' : 'leaving the heat'}`;
}

/** What is said once a limit is over. It tells of the rule, and passes no judgement on the food. */
export function missedWords({ title }: CoolingRules, limit: CoolingLimit, component: Component): string {
  return `${title} wants ${limitWords(limit, component)}, and no reading in that time shows it: follow your own food-safety plan`;
}

/** What the cook is told to do about a missed limit. */
export const FOLLOW_YOUR_PLAN =
  'follow your own food-safety plan; your local code and a trained person decide';
