import type { StepId, Workload } from '../plan/index.ts';
import { plus, seconds, type EpochMs, type Seconds } from '../units/index.ts';
import { beginOf } from './limits-chain.ts';
import { decidePromise, type Breach, type BreachLink } from './promise-decision.ts';
import { otherOrders } from './promise-orders.ts';
import type { PlanRequest } from './plan.ts';
import type { Turn } from './extract.ts';
import type { Rule } from './rules.ts';
import type { Timetable } from './timetable.ts';
import { costOf } from './ways-out/cost.ts';
import { eased, type Easing } from './ways-out/easing.ts';

/** A change after which a promise holds, or a part of it. */
export type PromiseChange =
  /** Work begins so much earlier than the timetable has it; everything else may stand where it stands. */
  | { readonly kind: 'begin earlier'; readonly by: Seconds }
  /** The same where work cannot begin earlier any more: every service comes so much later, and the beginning stays. */
  | { readonly kind: 'serve later'; readonly by: Seconds }
  /** A step never takes longer, or never less, than so long. */
  | {
      readonly kind: 'narrower';
      readonly step: StepId;
      readonly side: 'low' | 'high';
      readonly by: Seconds;
    }
  | (Easing & { readonly kind: 'wait longer' | 'rest longer' | 'keep longer' })
  /** Others have their turn first: another timetable for the same service. */
  | {
      readonly kind: 'other order';
      readonly turns: readonly Turn[];
      readonly timetable: Timetable;
      readonly by: Seconds;
    };

/** So many ways are followed, and each for so many changes. */
const [WAYS, ROUNDS] = [8, 8];

/** Changes are told in whole minutes, and of ranges in steps of this, s. */
const NARROW = 30;
const unitOf = ({ kind }: PromiseChange): number => (kind === 'narrower' ? NARROW : 60);

/** What is tried: a plan, its timetable, and what was changed so far. */
interface Trial {
  readonly workload: Workload;
  readonly timetable: Timetable;
  readonly begin: EpochMs;
  /** Work cannot begin before it. */
  readonly now: EpochMs | undefined;
  readonly changes: readonly PromiseChange[];
}

/**
 * The cheapest changes found with which the promise holds; each was decided anew, in the order of the same timetable or in another one.
 * Most often it is one. Nothing where none of those tried is enough.
 */
export function remedyFor(
  workload: Workload,
  timetable: Timetable,
  breach: Breach,
  now?: EpochMs,
): readonly PromiseChange[] | undefined {
  const start: Trial = { workload, timetable, begin: beginOf(timetable).at, now, changes: [] };
  let best: { readonly remedy: readonly PromiseChange[]; readonly cost: number } | undefined;
  for (const change of changesFor(start, breach).slice(0, WAYS)) {
    const remedy = followed(start, change);
    const cost = remedy && totalCost(workload, timetable, remedy);
    if (remedy && cost !== undefined && cost < (best?.cost ?? Infinity)) best = { remedy, cost };
  }
  const same = best && tightened(start, best.remedy);
  const known = same ? totalCost(workload, timetable, same) : Infinity;
  // Planning anew takes longer than deciding: not where little would do.
  const other = known > ORDER_COST ? inOtherOrder(start, breach) : undefined;
  return other && totalCost(workload, timetable, other) < known ? other : same;
}

/** What it costs a cook to work in another order than the best one, on the scale of {@link costOf}. */
const ORDER_COST = 8;

/** The cheapest other order found, and how much earlier work must begin for it. */
function inOtherOrder(
  { workload, timetable, begin, now }: Trial,
  breach: Breach,
): PromiseChange[] | undefined {
  const isAhead = now !== undefined && begin >= now;
  const request: PlanRequest = {
    service: { kind: 'at', moments: timetable.service },
    ...(isAhead && { now }),
  };
  const found = otherOrders(workload, request, breach, begin, now).map(
    ({ turns, timetable: other, earlier }): PromiseChange[] => [
      { kind: 'other order', turns, timetable: other, by: seconds(0) },
      ...(earlier > 0 ? [{ kind: 'begin earlier', by: earlier } as const] : []),
    ],
  );
  const cost = (changes: readonly PromiseChange[]): number => totalCost(workload, timetable, changes);
  return found.toSorted((a, b) => cost(a) - cost(b))[0];
}

/** Makes a change, and whatever else is then still missing. */
function followed(start: Trial, first: PromiseChange): readonly PromiseChange[] | undefined {
  let trial: Trial | undefined = made(start, first);
  for (let round = 0; trial && round < ROUNDS; round += 1) {
    const here: Trial = trial;
    const decision = decidePromise(here.workload, here.timetable, here.begin);
    if (decision.kind === 'holds') return here.changes;
    const open = changesFor(here, decision.breach);
    // More of what is changed anyway is less trouble than one thing more.
    const more = open.flatMap((change) => grown(change, here.changes) ?? []);
    const next = more[0] ?? open[0];
    trial = next && made(here, next);
  }
  return undefined;
}

/**
 * More of a change that is made already, at least as much again: there may be many circles that each miss a little more, and what is
 * too much is taken off again. A range has no more room than it has.
 */
function grown(change: PromiseChange, made: readonly PromiseChange[]): PromiseChange | undefined {
  const before = made.find((other) => sameTarget(change, other));
  if (!before || change.kind === 'narrower') return before && change;
  return { ...change, by: seconds(Math.max(change.by, before.by)) };
}

/**
 * The same changes, each no larger than it must be while the others stay: on the way to them more than one bound was mended
 * at a time.
 */
function tightened(start: Trial, changes: readonly PromiseChange[]): readonly PromiseChange[] {
  const holds = (tried: readonly PromiseChange[]): boolean => {
    const { workload, timetable, begin } = tried.reduce(made, start);
    return decidePromise(workload, timetable, begin).kind === 'holds';
  };
  return changes.reduce<readonly PromiseChange[]>((all, change) => {
    const others = all.filter((other) => other !== change);
    if (others.length > 0 && holds(others)) return others;
    const withBy = (units: number): PromiseChange[] =>
      all.map((other) => (other === change ? { ...change, by: seconds(units * unit) } : other));
    const unit = unitOf(change);
    let [low, high] = [0, Math.ceil(change.by / unit)];
    while (high - low > 1) {
      const middle = Math.floor((low + high) / 2);
      if (holds(withBy(middle))) high = middle;
      else low = middle;
    }
    return withBy(high);
  }, changes);
}

/** What would make room for what is missing, the cheapest first. */
function changesFor(trial: Trial, { short, links }: Breach): PromiseChange[] {
  const { workload, timetable } = trial;
  const found = distinct(links.flatMap((link) => changesOf(trial, link, short)));
  const cost = (change: PromiseChange): number => costOfChange(workload, timetable, change);
  return found.toSorted((a, b) => cost(a) - cost(b));
}

function changesOf({ begin, now }: Trial, link: BreachLink, short: number): PromiseChange[] {
  const by = seconds(Math.ceil(short / 60) * 60);
  if (link.kind === 'nature') return narrower(link, short);
  const { origin } = link;
  // What comes to nothing between the beginning and a service may have begun earlier.
  if (origin.kind === 'served' || origin.kind === 'hours')
    return [{ kind: now !== undefined && plus(begin, 0 - by) < now ? 'serve later' : 'begin earlier', by }];
  return origin.kind === 'rule' ? longer(origin.rule, by) : [];
}

function longer(rule: Rule, by: Seconds): PromiseChange[] {
  switch (rule.kind) {
    case 'within':
      return [{ kind: 'wait longer', step: rule.step.id, by }];
    case 'rests at most':
      return [{ kind: 'rest longer', step: rule.step.id, by }];
    case 'keeps':
      return [{ kind: 'keep longer', component: rule.component.id, by }];
    default:
      return [];
  }
}

/** A range that ends sooner, or begins later; it goes on holding its usual length. */
function narrower({ of, side }: BreachLink & { readonly kind: 'nature' }, short: number): PromiseChange[] {
  const { length, id } = of.step;
  if (of.kind === 'oven' || length.kind === 'rest') return [];
  const { low, usual, high } = length.range;
  const room = side === 'high' ? high - usual : usual - low;
  const by = Math.ceil(short / NARROW) * NARROW;
  return by <= room ? [{ kind: 'narrower', step: id, side, by: seconds(by) }] : [];
}

function made({ workload, timetable, begin, now, changes }: Trial, change: PromiseChange): Trial {
  const trial = { timetable, begin, now, changes: merged(changes, change) };
  switch (change.kind) {
    case 'begin earlier':
      return { ...trial, workload, begin: plus(begin, 0 - change.by) };
    case 'serve later':
      return { ...trial, workload, timetable: movedLater(timetable, change.by) };
    case 'narrower':
      return { ...trial, workload: narrowed(workload, change) };
    case 'other order':
      return { ...trial, workload, timetable: change.timetable };
    case 'wait longer':
    case 'rest longer':
    case 'keep longer': {
      const request = { service: { kind: 'at', moments: timetable.service } } as const;
      return { ...trial, workload: eased({ workload, request }, change).workload };
    }
  }
}

function movedLater({ service, steps, settings }: Timetable, by: Seconds): Timetable {
  const later = (moment: EpochMs): EpochMs => plus(moment, by);
  return {
    service: service.map(later),
    steps: steps.map((step) => ({ ...step, start: later(step.start), end: later(step.end) })),
    settings: settings.map((setting) => ({
      ...setting,
      at: later(setting.at),
      hotBy: later(setting.hotBy),
    })),
  };
}

type Narrower = PromiseChange & { readonly kind: 'narrower' };

function narrowed(workload: Workload, { step: id, side, by }: Narrower): Workload {
  const components = workload.components.map((component) => ({
    ...component,
    steps: component.steps.map((step) => {
      const { length } = step;
      if (step.id !== id || length.kind === 'rest') return step;
      const range =
        side === 'high'
          ? { ...length.range, high: seconds(length.range.high - by) }
          : { ...length.range, low: seconds(length.range.low + by) };
      return { ...step, length: { ...length, range } };
    }),
  }));
  return { ...workload, components };
}

const targetOf = (change: PromiseChange): string => JSON.stringify({ ...change, by: 0 });
/** Each kind of change once. */
const distinct = (changes: readonly PromiseChange[]): PromiseChange[] =>
  changes.filter((change, place) => changes.findIndex((other) => sameTarget(other, change)) === place);

const sameTarget = (a: PromiseChange, b: PromiseChange): boolean => targetOf(a) === targetOf(b);

function merged(changes: readonly PromiseChange[], change: PromiseChange): PromiseChange[] {
  const before = changes.find((other) => sameTarget(other, change));
  const more = before ? { ...change, by: seconds(before.by + change.by) } : change;
  return [...changes.filter((other) => other !== before), more];
}

const totalCost = (workload: Workload, timetable: Timetable, changes: readonly PromiseChange[]): number =>
  changes.reduce((sum, change) => sum + costOfChange(workload, timetable, change), 0);

/**
 * What a change is thought to cost, on the scale of {@link costOf}: an earlier beginning is minutes of somebody's day; a range is made
 * narrower by practice, which is more than a limit that is known to be somewhat too careful.
 */
function costOfChange(workload: Workload, timetable: Timetable, change: PromiseChange): number {
  switch (change.kind) {
    case 'begin earlier':
      return 5 + change.by / 60;
    case 'serve later':
      return 20 + change.by / 60;
    case 'other order':
      return ORDER_COST * change.turns.length;
    case 'narrower':
      return 30 + change.by / 15;
    case 'wait longer':
    case 'rest longer':
    case 'keep longer':
      return costOf(workload, change, timetable);
  }
}
