import type { Place, Step, WorkingHours, Workload } from '../plan/index.ts';
import {
  clockFrom,
  formatDayHours,
  formatDuration,
  formatTemperature,
  seconds,
  type EpochMs,
} from '../units/index.ts';
import type { Rule } from './rules.ts';

/** Writes moments as the kitchen's clock shows them, with the day where it is not the day of `reference`. */
export function whenFrom(timeZone: string, reference: EpochMs): (moment: EpochMs) => string {
  return (moment) => clockFrom(moment, reference, timeZone);
}

/** `line 31`, or `buns.yaml line 31` where several files are laid together. */
export function lineOf(workload: Workload, place: Place): string {
  if (workload.plans.length <= 1) return `line ${place.line}`;
  return `${place.file.split(/[/\\]/).at(-1)} line ${place.line}`;
}

const long = (length: number): string => formatDuration(seconds(length));

/**
 * A rule as a clause in the plan's own words.
 * @param served when a plan is served, in words, where that is known.
 */
export function clause(workload: Workload, rule: Rule, served?: (plan: number) => string): string {
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
      return rule.within > 0
        ? `${rule.step.id} must follow ${rule.before.id} within ${long(rule.within)} ${line}`
        : `${rule.step.id} must follow ${rule.before.id} at once ${line}`;
    case 'needs':
      return `${rule.step.id} needs ${rule.needed.id} ${line}`;
    case 'keeps':
      return keepsWords(rule, served?.(rule.component.plan), line);
    case 'service':
      return `${rule.last.id} must be done ${rule.plan.margin > 0 ? `${long(rule.plan.margin)} before` : 'by'} service ${line}`;
    case 'busy':
      return `${rule.step.id} takes both hands${lasting(rule.step)} ${line}`;
    case 'near':
      return `${rule.step.id} wants a cook near${lasting(rule.step)} ${line}`;
    case 'uses':
      return `${rule.step.id} uses ${counted(rule.count, rule.item)}${lasting(rule.step)} ${line}`;
    case 'holds':
      return `${rule.step.id} holds ${counted(rule.claim.count, rule.claim.item)} until ${rule.claim.until} is over ${line}`;
    case 'oven':
      return `${rule.step.id} ${ovenWords(rule)} ${line}`;
    case 'hours':
      return `${rule.step.id} asks for hands${lasting(rule.step)} ${line}`;
  }
}

export const counted = (count: number, item: string): string =>
  count === 1 ? `the ${item}` : `${count} x ${item}`;

function lengthWords(step: Step): string {
  return step.length.kind === 'rest'
    ? `rests at least ${long(step.length.atLeast)}`
    : `takes ${long(step.length.range.usual)}`;
}

/** ` for 14 min`: how long something is taken; nothing where it has no length. */
function lasting({ length }: Step): string {
  if (length.kind === 'rest') return length.atLeast > 0 ? ` for at least ${long(length.atLeast)}` : '';
  return length.range.usual > 0 ? ` for ${long(length.range.usual)}` : '';
}

function keepsWords(
  { component, keeps, user }: Rule & { readonly kind: 'keeps' },
  served: string | undefined,
  line: string,
): string {
  const until = user ? `${user.id} is over` : `service${served === undefined ? '' : ` at ${served}`}`;
  if (keeps === 0 && !user) return `${component.id} does not keep and must be done just at ${until} ${line}`;
  return `${component.id} keeps ${long(keeps)} until ${until} ${line}`;
}

function ovenWords({ step, demand }: Rule & { readonly kind: 'oven' }): string {
  const oven = demand.oven === undefined ? 'the oven' : `the oven "${demand.oven}"`;
  const state = demand.heat.kind === 'off' ? 'off' : `at ${formatTemperature(demand.heat.temperature)}`;
  return `wants ${oven} ${state}${demand.door === 'ajar' ? ' with the door ajar' : ''}${lasting(step)}`;
}

const DAYS = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];

/** Working hours in short, days with the same hours together: `Mon-Fri 06:00-14:00, Sat 08:00-12:00`. */
export function weekWords(hours: WorkingHours): string {
  const written = hours.map((day) => (day === 'off' ? '' : formatDayHours(day)));
  if (new Set(written).size === 1) return written[0] ?? '';
  const parts: string[] = [];
  for (let first = 0; first < written.length;) {
    let next = first + 1;
    while (next < written.length && written[next] === written[first]) next += 1;
    const days = next - first === 1 ? DAYS[first] : `${DAYS[first]}-${DAYS[next - 1]}`;
    if (written[first] !== '') parts.push(`${days} ${written[first]}`);
    first = next;
  }
  return parts.join(', ');
}

/** Where the rule stands in its file. */
export function placeOf(rule: Rule): Place {
  return rule.kind === 'keeps'
    ? rule.component.place
    : rule.kind === 'service'
      ? rule.last.place
      : rule.step.place;
}
