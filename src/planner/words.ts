import type { Place, Step, Workload } from '../plan/index.ts';
import {
  daysBetween,
  formatDuration,
  formatTemperature,
  localDate,
  seconds,
  wallClock,
  weekday,
  type EpochMs,
} from '../units/index.ts';
import type { Rule } from './rules.ts';

/** Writes moments as the kitchen's clock shows them, with the day where it is not the day of `reference`. */
export function whenFrom(timeZone: string, reference: EpochMs): (moment: EpochMs) => string {
  return (moment) => {
    const clock = wallClock(moment, timeZone);
    const days = daysBetween(reference, moment, timeZone);
    if (days === 0) return clock;
    const day = Math.abs(days) < 7 ? weekday(moment, timeZone) : localDate(moment, timeZone);
    return `${day} ${clock}`;
  };
}

/** `line 31`, or `buns.yaml line 31` where several files are laid together. */
export function lineOf(workload: Workload, place: Place): string {
  return workload.plans.length > 1 ? `${place.file} line ${place.line}` : `line ${place.line}`;
}

const long = (length: number): string => formatDuration(seconds(length));

/** A rule as a clause in the plan's own words. */
export function clause(workload: Workload, rule: Rule): string {
  const line = `(${lineOf(workload, placeOf(rule))})`;
  switch (rule.kind) {
    case 'begin':
      return `${rule.step.id} is part of the work ${line}`;
    case 'length':
      return `${rule.step.id} ${lengthWords(rule.step)} ${line}`;
    case 'rests at most':
      return `${rule.step.id} rests at most ${long(rule.atMost)} ${line}`;
    case 'follows':
      return rule.step.after > 0
        ? `${rule.step.id} waits at least ${long(rule.step.after)} after ${rule.before.id} ${line}`
        : `${rule.step.id} follows ${rule.before.id} ${line}`;
    case 'within':
      return `${rule.step.id} must follow ${rule.before.id} within ${long(rule.within)} ${line}`;
    case 'needs':
      return `${rule.step.id} needs ${rule.needed.id} ${line}`;
    case 'keeps':
      return `${rule.component.id} keeps ${long(rule.keeps)} ${rule.user ? `until ${rule.user.id} is over` : 'until service'} ${line}`;
    case 'service':
      return `${rule.last.id} must be done by service ${rule.plan.margin > 0 ? `less ${long(rule.plan.margin)} ` : ''}${line}`;
    case 'busy':
      return `${rule.step.id} takes both hands ${line}`;
    case 'near':
      return `${rule.step.id} wants a cook near ${line}`;
    case 'uses':
      return `${rule.step.id} uses ${counted(rule.count, rule.item)} ${line}`;
    case 'holds':
      return `${rule.step.id} holds ${counted(rule.claim.count, rule.claim.item)} until ${rule.claim.until} is over ${line}`;
    case 'oven':
      return `${rule.step.id} ${ovenWords(rule)} ${line}`;
  }
}

export const counted = (count: number, item: string): string =>
  count === 1 ? `the ${item}` : `${count} x ${item}`;

function lengthWords(step: Step): string {
  return step.length.kind === 'rest'
    ? `rests at least ${long(step.length.atLeast)}`
    : `takes ${long(step.length.range.usual)}`;
}

function ovenWords({ demand }: Rule & { readonly kind: 'oven' }): string {
  const oven = demand.oven === undefined ? 'the oven' : `the oven "${demand.oven}"`;
  const state = demand.heat.kind === 'off' ? 'off' : `at ${formatTemperature(demand.heat.temperature)}`;
  return `wants ${oven} ${state}${demand.door === 'ajar' ? ' with the door ajar' : ''}`;
}

/** Where the rule stands in its file. */
export function placeOf(rule: Rule): Place {
  return rule.kind === 'keeps'
    ? rule.component.place
    : rule.kind === 'service'
      ? rule.last.place
      : rule.step.place;
}
