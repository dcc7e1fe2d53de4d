import type { Step, StepId, Workload } from '../../plan/index.ts';
import { formatClockTime, formatDuration, seconds, type EpochMs } from '../../units/index.ts';
import type { Timetable } from '../timetable.ts';
import { lineOf, whenFrom } from '../words.ts';
import { eased, longerDay, type Asked, type Easing } from './easing.ts';
import { extraHands } from './extra-hands.ts';

/** Changes in words, with the line in the plan where there is one: what to do, by how much, and what would be the new figure. */
export function easingWords(asked: Asked, easings: readonly Easing[], timetable: Timetable): string {
  const parts = easings.map((easing) => words(asked, easing, timetable));
  // `with a mixer and a second pot`: one "with" is enough for all that are there.
  if (parts.every((part) => part.startsWith(WITH)))
    return (
      WITH +
      listed(
        parts.map((part) => part.slice(WITH.length)),
        ' and ',
      )
    );
  return listed(parts, ', and ');
}

const WITH = 'with ';

const listed = (parts: readonly string[], last: string): string =>
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')}${last}${parts.at(-1)}`;

const long = (length: number): string => formatDuration(seconds(length));

function words(asked: Asked, easing: Easing, timetable: Timetable): string {
  const { workload, request } = asked;
  const { kitchen } = workload;
  const when = whenFrom(
    kitchen.timeZone,
    request.now ?? timetable.service[0] ?? timetable.steps[0]?.start ?? NEVER,
  );
  switch (easing.kind) {
    case 'serve later':
      return serveLater(asked, easing, when);
    case 'less margin': {
      const plan = workload.plans[easing.plan];
      const left = (plan?.margin ?? 0) - easing.by;
      const before = workload.plans.length > 1 ? ` for ${plan?.name}` : '';
      return `with ${left <= 0 ? 'no margin' : `a margin of ${long(left)}`}${before} instead of ${long(plan?.margin ?? 0)}`;
    }
    case 'begin earlier':
      return `if work could begin ${long(easing.by)} earlier, at ${when(eased(asked, easing).request.now ?? NEVER)}`;
    case 'work longer':
      return workLonger(workload, easing);
    case 'wait longer':
    case 'rest longer':
    case 'keep longer':
      return holdLonger(workload, easing);
    case 'more of an item': {
      const there = kitchen.items.find(({ name }) => name === easing.item)?.count ?? 0;
      return `with ${more(there, easing.by, easing.item)}`;
    }
    case 'more near steps':
      return `if ${kitchen.near + easing.by} near steps may run at once instead of ${kitchen.near}`;
    case 'more cooks':
      return moreCooks(workload, easing.by, timetable, when);
    case 'more shelves': {
      const there = kitchen.ovens.find(({ name }) => name === easing.oven)?.shelves ?? 0;
      return `with ${there + easing.by} shelves in ${easing.oven} instead of ${there}`;
    }
    case 'another oven':
      return kitchen.ovens.length === 1 && easing.oven === `${easing.like} 2`
        ? 'with a second oven like the one there is'
        : `with another oven, "${easing.oven}", like ${easing.like}`;
    case 'make ahead':
      return makeAhead(workload, easing, when);
    case 'shorter':
      return `if ${easing.step} ${isRest(workload, easing.step) ? 'rested' : 'took'} ${long(easing.by)} less ${at(workload, easing.step)}`;
    case 'follow sooner':
      return `if ${easing.step} could follow ${long(easing.by)} sooner ${at(workload, easing.step)}`;
  }
}

const NEVER = 0 as EpochMs;

const stepOf = (workload: Workload, id: StepId): Step | undefined =>
  workload.components.flatMap((component) => component.steps).find((step) => step.id === id);
const isRest = (workload: Workload, id: StepId): boolean => stepOf(workload, id)?.length.kind === 'rest';

function at(workload: Workload, id: StepId): string {
  const step = stepOf(workload, id);
  return step ? `(${lineOf(workload, step.place)})` : '';
}

type Of<K extends Easing['kind']> = Easing & { readonly kind: K };
type When = (moment: EpochMs) => string;

function serveLater(asked: Asked, easing: Of<'serve later'>, when: When): string {
  const { service } = eased(asked, easing).request;
  const { plans } = asked.workload;
  const moments = service.kind === 'at' ? easing.plans.flatMap((plan) => service.moments[plan] ?? []) : [];
  const what =
    plans.length === 1
      ? ''
      : easing.plans.length === plans.length
        ? ' everything'
        : ` ${easing.plans.map((plan) => plans[plan]?.name).join(' and ')}`;
  return `serve${what} ${long(easing.by)} later, at ${[...new Set(moments.map(when))].join(' and ')}`;
}

const DAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'];

function workLonger({ kitchen }: Workload, { day, side, by }: Of<'work longer'>): string {
  const hours = kitchen.hours?.[day];
  if (!hours || hours === 'off') return `with more time on ${DAYS[day]}`;
  const longer = longerDay(hours, side, by);
  return side === 'before'
    ? `if work on ${DAYS[day]} may begin at ${formatClockTime(longer.from)} instead of ${formatClockTime(hours.from)}`
    : `if work on ${DAYS[day]} may go on until ${formatClockTime(longer.to)} instead of ${formatClockTime(hours.to)}`;
}

function holdLonger(workload: Workload, easing: Of<'wait longer' | 'rest longer' | 'keep longer'>): string {
  if (easing.kind === 'keep longer') {
    const component = workload.components.find(({ id }) => id === easing.component);
    const keeps = component?.keeps ?? 0;
    const line = component ? ` (${lineOf(workload, component.place)})` : '';
    return `if ${easing.component} may keep ${long(keeps + easing.by)} instead of ${long(keeps)}${line}`;
  }
  const step = stepOf(workload, easing.step);
  const line = at(workload, easing.step);
  if (easing.kind === 'rest longer') {
    const most = step?.length.kind === 'rest' ? (step.length.atMost ?? 0) : 0;
    return `if ${easing.step} may rest up to ${long(most + easing.by)} instead of ${long(most)} ${line}`;
  }
  const within = step?.within ?? 0;
  const steps = workload.components.find(({ id }) => id === step?.component)?.steps ?? [];
  const before = step && steps[steps.indexOf(step) - 1];
  const now = within === 0 ? 'following at once' : long(within);
  return `if ${easing.step} may wait ${long(within + easing.by)} after ${before?.id} instead of ${now} ${line}`;
}

const ORDINALS = ['a', 'a second', 'a third', 'a fourth', 'a fifth'];

/** `a second mixer`, or for several `5 x tray instead of 3`. */
function more(there: number, by: number, what: string): string {
  const ordinal = there === 0 ? (/^[aeiou]/i.test(what) ? 'an' : 'a') : ORDINALS[there];
  return by === 1 && ordinal !== undefined
    ? `${ordinal} ${what}`
    : `${there + by} x ${what} instead of ${there}`;
}

function moreCooks({ kitchen, ...workload }: Workload, by: number, timetable: Timetable, when: When): string {
  const ordinal = by === 1 ? ORDINALS[kitchen.cooks] : undefined;
  const who =
    ordinal === undefined ? `${kitchen.cooks + by} cooks instead of ${kitchen.cooks}` : `${ordinal} cook`;
  const needed = extraHands({ kitchen, ...workload }, timetable, kitchen.cooks);
  if (!needed) return `with ${who}`;
  return `with ${who} from ${when(needed.from)} to ${when(needed.to)}, for ${long(needed.total)} in all`;
}

function makeAhead(workload: Workload, easing: Of<'make ahead'>, when: When): string {
  const component = workload.components.find(({ id }) => id === easing.component);
  const steps = component?.steps ?? [];
  const wholly = steps.at(-1)?.id === easing.upTo && component?.keeps !== undefined;
  if (wholly)
    return `with ${easing.component} made the day before, by ${when(easing.by)}, if ${easing.component} may keep ${long(easing.limit)} instead of ${long(component.keeps ?? 0)} (${lineOf(workload, component.place)})`;
  const step = stepOf(workload, easing.upTo);
  const most = step?.length.kind === 'rest' ? (step.length.atMost ?? 0) : 0;
  return `with ${easing.component} begun the day before and at rest by ${when(easing.by)}, if ${easing.upTo} may last up to ${long(easing.limit)} instead of ${long(most)} ${at(workload, easing.upTo)}`;
}
