import type { Place, Step, StepId, Workload } from '../plan/index.ts';
import { epochMs, formatDuration, plus, roughly, seconds, type Seconds } from '../units/index.ts';
import { beginOf } from './limits-chain.ts';
import type { Breach, BreachLink } from './promise-decision.ts';
import type { Origin } from './promise-network.ts';
import type { PromiseChange } from './promise-remedy.ts';
import { stepsOf } from './rules.ts';
import type { Timetable } from './timetable.ts';
import { clause, lineOf, whenFrom } from './words.ts';
import { easingWords } from './ways-out/words.ts';

/** So many lengths, and so many turns, are told; more nobody reads. */
const [LENGTHS, TURNS] = [5, 3];

type Nature = BreachLink & { readonly kind: 'nature' };

const long = (length: number): string => formatDuration(seconds(length));

/** What cannot be kept, and what leads there. */
export function breachWords(
  workload: Workload,
  timetable: Timetable,
  breach: Breach,
  remedy: readonly PromiseChange[] = [],
): { readonly breaks: string; readonly because: readonly string[] } {
  const natures = breach.links.filter((link) => link.kind === 'nature').filter(hasRange);
  const bounds = breach.links.flatMap((link) => (link.kind === 'bound' ? [link.origin] : []));
  return {
    breaks: brokenWords(workload, timetable, bounds, missingIn(breach, remedy)),
    because: [...natureLines(workload, inOrder(natures, timetable)), ...turnLines(bounds)],
  };
}

/** The window at the heart of it: the one that is narrowest, or service. */
function brokenWords(
  workload: Workload,
  { service }: Timetable,
  bounds: readonly Origin[],
  missing: string,
): string {
  const windows = bounds.flatMap((origin) =>
    origin.kind === 'rule' && ['within', 'rests at most', 'keeps'].includes(origin.rule.kind)
      ? [origin.rule]
      : [],
  );
  const when = whenFrom(workload.kitchen.timeZone, service[0] ?? epochMs(0));
  const served = (plan: number): string => when(service[plan] ?? epochMs(0));
  if (windows.length > 0)
    return `${windows.map((rule) => clause(workload, rule, served)).join(', and ')}, which can be ${missing} too little${windows.length > 1 ? ' together' : ''}`;
  const late = bounds.find((origin) => origin.kind === 'served');
  if (late?.kind === 'served') {
    const of = workload.plans.length > 1 ? ` of ${workload.plans[late.plan]?.name}` : '';
    return `service${of} at ${served(late.plan)} can be missed by ${missing}`;
  }
  const hours = bounds.find((origin) => origin.kind === 'hours');
  if (hours?.kind === 'hours')
    return `${hours.step.id} ${hours.edge === 'closing' ? `may go on for ${missing} after the working hours end` : `may have to begin ${missing} before there is work`} (${lineOf(workload, hours.step.place)})`;
  const [pair] = besideEachOther(bounds);
  if (pair) {
    const apart = Math.max(...pair.map(({ length }, at) => spreadBeyond(length, pair[1 - at]?.length)));
    return `${pair.map(({ id }) => id).join(' and ')} are in the oven at once with its door shut, and can be done ${long(apart)} apart`;
  }
  return `its steps can get into each other's way by ${missing}`;
}

/** Pairs of which each waits for the other: what goes into a shut oven, or comes out of it, at one moment. */
function besideEachOther(bounds: readonly Origin[]): (readonly [Step, Step])[] {
  const orders = bounds.filter((origin) => origin.kind === 'order');
  return orders.flatMap(({ before, step }, place): (readonly [Step, Step])[] => {
    const isMutual = orders.slice(place + 1).some((other) => other.before === step && other.step === before);
    return isMutual && before !== step ? [[before, step]] : [];
  });
}

/** How much longer one can take than another, s. */
function spreadBeyond(one: Step['length'], other: Step['length'] | undefined): number {
  if (one.kind === 'rest' || !other || other.kind === 'rest') return 0;
  return Math.max(0, one.range.high - other.range.low);
}

/**
 * How much is missing, in whole minutes, rounded up; less than two in seconds. The circle that was met misses so much, and others may
 * miss more. It is known to be all where so much mends it; an earlier beginning that mends it says itself how much.
 */
function missingIn({ short }: Breach, remedy: readonly PromiseChange[]): string {
  const [only, ...others] = remedy;
  const isTime = (only?.kind === 'begin earlier' || only?.kind === 'serve later') && others.length === 0;
  const missing = upwards(isTime ? only.by : short);
  const mends = remedy.reduce((sum, { by }) => sum + by, 0);
  const isOther = remedy.some(({ kind }) => kind === 'other order');
  return remedy.length > 0 && mends <= missing && !isOther ? roughly(missing) : `${roughly(missing)} or more`;
}

const upwards = (length: number): Seconds =>
  seconds(length < 120 ? Math.ceil(length / 10) * 10 : Math.ceil(length / 60) * 60);

function inOrder(natures: readonly Nature[], { steps }: Timetable): Nature[] {
  const startOf = ({ of }: Nature): number => steps.find(({ step }) => step === of.step.id)?.start ?? 0;
  return natures.toSorted((a, b) => startOf(a) - startOf(b));
}

const hasRange = ({ of: { kind, step } }: Nature): boolean =>
  kind === 'oven' || (step.length.kind !== 'rest' && step.length.range.low < step.length.range.high);

/** What nature would have to do for it. */
function natureLines(workload: Workload, natures: readonly Nature[]): string[] {
  if (natures.length === 0) return ['even at the usual lengths, if each call is answered as late as may be'];
  const told = natures
    .toSorted((a, b) => spread(b) - spread(a))
    .slice(0, LENGTHS)
    .toSorted((a, b) => natures.indexOf(a) - natures.indexOf(b));
  const rest = natures.length - told.length;
  const parts = told
    .filter(({ of }, place) => told.findIndex((other) => other.of === of) === place)
    .map(({ of }) =>
      natureWords(
        workload,
        of,
        told.filter((other) => other.of === of).map(({ side }) => side),
      ),
    );
  return [
    `if ${parts.join(', ')}${rest > 0 ? `, and ${rest} more ${rest === 1 ? 'is' : 'are'} as bad as may be` : ''}`,
  ];
}

function spread({ of: { kind, step } }: Nature): number {
  if (kind === 'oven' || step.length.kind === 'rest') return 600;
  return step.length.range.high - step.length.range.low;
}

function natureWords(workload: Workload, of: Nature['of'], sides: readonly Nature['side'][]): string {
  const { step } = of;
  const line = `(${lineOf(workload, step.place)})`;
  const [slow, both] = [sides.includes('high'), sides.length > 1];
  if (of.kind === 'oven')
    return `the ${of.oven} is as ${both ? 'slow or quick' : slow ? 'slow' : 'quick'} as it may be to be right for ${step.id} ${line}`;
  if (step.length.kind === 'rest') return step.id;
  const { low, high } = step.length.range;
  if (both) return `${step.id} takes anything from ${long(low)} to ${long(high)} ${line}`;
  return slow ? `${step.id} takes ${long(high)} ${line}` : `${step.id} takes only ${long(low)} ${line}`;
}

/** Who waits for whom, where no rule of the plan says so but the timetable. */
function turnLines(bounds: readonly Origin[]): string[] {
  const together = besideEachOther(bounds);
  const turns = bounds.flatMap((origin) =>
    origin.kind === 'order' &&
    origin.before.component !== origin.step.component &&
    !together.some((pair) => pair.includes(origin.before) && pair.includes(origin.step))
      ? [`${origin.step.id} has ${origin.what} after ${origin.before.id}`]
      : [],
  );
  const told = [...new Set(turns)].slice(0, TURNS);
  return told.length > 0 ? [`in this timetable ${told.join(', ')}`] : [];
}

/** What would help: to be read after "it would hold". */
export function remedyWords(
  workload: Workload,
  timetable: Timetable,
  changes: readonly PromiseChange[],
): string {
  return changes.map((change) => changeWords(workload, timetable, change)).join(', and ');
}

function changeWords(workload: Workload, timetable: Timetable, change: PromiseChange): string {
  switch (change.kind) {
    case 'begin earlier': {
      const begin = beginOf(timetable).at;
      const when = whenFrom(workload.kitchen.timeZone, begin);
      return `if work began ${long(change.by)} earlier, at ${when(plus(begin, 0 - change.by))}`;
    }
    case 'serve later': {
      const { service } = timetable;
      const when = whenFrom(workload.kitchen.timeZone, service[0] ?? epochMs(0));
      const then = [...new Set(service.map((moment) => when(plus(moment, change.by))))];
      return `if it were served ${long(change.by)} later, at ${then.join(' and ')}`;
    }
    case 'other order':
      return `in another order, ${change.turns.map(({ first, next }) => `${first} before ${next}`).join(' and ')}`;
    case 'narrower': {
      const step = workload.components.flatMap(({ steps }) => steps).find(({ id }) => id === change.step);
      if (!step || step.length.kind === 'rest') return '';
      const { low, high } = step.length.range;
      const [from, to] = change.side === 'high' ? [low, high - change.by] : [low + change.by, high];
      return `if ${step.id} took ${long(from)} to ${long(to)} instead of ${long(low)} to ${long(high)} (${lineOf(workload, step.place)})`;
    }
    case 'wait longer':
    case 'rest longer':
    case 'keep longer': {
      const asked = { workload, request: { service: { kind: 'at', moments: timetable.service } } } as const;
      return easingWords(asked, [change], timetable);
    }
  }
}

/** The steps that a breach speaks of, each once. */
export function breachSteps({ links }: Breach): readonly StepId[] {
  return [...new Set(links.flatMap(stepsIn).map(({ id }) => id))];
}

export function breachPlaces({ links }: Breach): readonly Place[] {
  return [...new Set(links.flatMap(stepsIn).map(({ place }) => place))];
}

function stepsIn(link: BreachLink): readonly Step[] {
  if (link.kind === 'nature') return [link.of.step];
  const { origin } = link;
  switch (origin.kind) {
    case 'rule':
      return stepsOf(origin.rule);
    case 'order':
      return [origin.before, origin.step];
    case 'hours':
    case 'knob':
      return [origin.step];
    case 'served':
      return [];
  }
}
