import type { Component, HeldClaim, OvenDemand, Plan, Step } from '../plan/index.ts';

/**
 * What a plan asks for, as data: every lag, block and demand of the problem carries the number of the rule it came from, so
 * that a clash can be told in the plan's own words.
 */
export type Rule =
  | { readonly kind: 'begin'; readonly step: Step }
  | { readonly kind: 'length'; readonly step: Step }
  | { readonly kind: 'rests at most'; readonly step: Step; readonly atMost: number }
  | { readonly kind: 'follows'; readonly step: Step; readonly before: Step }
  | { readonly kind: 'within'; readonly step: Step; readonly before: Step; readonly within: number }
  | { readonly kind: 'needs'; readonly step: Step; readonly needed: Step }
  | {
      readonly kind: 'keeps';
      readonly component: Component;
      readonly last: Step;
      readonly keeps: number;
      /** The step that uses it last; without one it is kept until service. */
      readonly user?: Step;
    }
  | { readonly kind: 'service'; readonly plan: Plan; readonly last: Step }
  | { readonly kind: 'busy' | 'near'; readonly step: Step }
  | { readonly kind: 'uses'; readonly step: Step; readonly item: string; readonly count: number }
  | { readonly kind: 'holds'; readonly step: Step; readonly claim: HeldClaim }
  | { readonly kind: 'oven'; readonly step: Step; readonly demand: OvenDemand }
  /** Its hands are asked for within the kitchen's working hours. */
  | { readonly kind: 'hours'; readonly step: Step };

/** Whether leaving the rule out could make room: the others only say how long things are and what follows what. */
export function couldGive(rule: Rule): boolean {
  switch (rule.kind) {
    case 'begin':
    case 'length':
    case 'follows':
    case 'needs':
    case 'service':
      return false;
    case 'rests at most':
    case 'within':
    case 'keeps':
    case 'busy':
    case 'near':
    case 'uses':
    case 'holds':
    case 'oven':
    case 'hours':
      return true;
  }
}

/** The steps a rule speaks of. */
export function stepsOf(rule: Rule): readonly Step[] {
  switch (rule.kind) {
    case 'follows':
    case 'within':
      return [rule.before, rule.step];
    case 'needs':
      return [rule.needed, rule.step];
    case 'keeps':
      return rule.user ? [rule.last, rule.user] : [rule.last];
    case 'service':
      return [rule.last];
    case 'begin':
    case 'length':
    case 'rests at most':
    case 'busy':
    case 'near':
    case 'uses':
    case 'holds':
    case 'oven':
    case 'hours':
      return [rule.step];
  }
}
