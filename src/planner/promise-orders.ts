import type { Workload } from '../plan/index.ts';
import { epochMs, plus, seconds, type EpochMs, type Seconds } from '../units/index.ts';
import type { Turn } from './extract.ts';
import { beginOf } from './limits-chain.ts';
import { planTimetable, type PlanRequest } from './plan.ts';
import { decidePromise, type Breach } from './promise-decision.ts';
import type { Timetable } from './timetable.ts';

/** So many other orders are tried, and each is begun earlier so often. */
const [ORDERS, ROUNDS] = [8, 6];

/** Two turns at most are taken otherwise. */
const TURNS = 2;

/** What an order comes to: what holds, what breaks it, or nothing where there is no timetable. */
type Tried<T> = { readonly held: T } | { readonly breach: Breach } | undefined;

/**
 * Orders in which those who are in the way of a promise take their turns otherwise, and which hold: what the circle names is turned
 * round, then once more where that is not enough. The fewest turns first.
 */
function inOtherOrders<T>(
  breach: Breach,
  tried: (turns: readonly Turn[]) => Tried<T>,
): { readonly turns: readonly Turn[]; readonly held: T }[] {
  const found: { readonly turns: readonly Turn[]; readonly held: T }[] = [];
  const open = turnsIn(breach).map((turn): readonly Turn[] => [turn]);
  const known = new Set<string>();
  while (known.size < ORDERS) {
    const turns = open.shift();
    if (!turns) break;
    const name = JSON.stringify(
      turns.map(({ first, next }) => `${first} ${next}`).toSorted((a, b) => (a < b ? -1 : 1)),
    );
    if (known.has(name)) continue;
    known.add(name);
    const result = tried(turns);
    if (result && 'held' in result) found.push({ turns, held: result.held });
    else if (result && turns.length < TURNS)
      open.push(...turnsIn(result.breach).map((turn) => [...turns, turn]));
  }
  return found;
}

/** What could take its turn otherwise, of what a breach names. */
const turnsIn = ({ links }: Breach): Turn[] =>
  links.flatMap((link) => (link.kind === 'bound' && link.origin.kind === 'order' ? link.origin.instead : []));

/** Whether more time between the beginning and service would mend a breach. */
const isShortOfTime = ({ links }: Breach): boolean =>
  links.some((link) => link.kind === 'bound' && link.origin.kind === 'served');

const wholeMinutes = (length: number): Seconds => seconds(Math.ceil(length / 60) * 60);

/** Work for one other order: about 0.1 s. */
const EFFORT = 400_000;

/** A timetable in another order, and how much earlier than now work must begin for its promise to hold. */
export interface OtherOrder {
  readonly turns: readonly Turn[];
  readonly timetable: Timetable;
  readonly earlier: Seconds;
}

/**
 * Timetables for the same service in another order, which hold.
 *
 * @param begin when work may begin without being earlier.
 * @param now nothing is begun before it.
 */
export function otherOrders(
  workload: Workload,
  request: PlanRequest,
  breach: Breach,
  begin: EpochMs,
  now: EpochMs | undefined,
): OtherOrder[] {
  const tried = (turns: readonly Turn[]): Tried<Omit<OtherOrder, 'turns'>> => {
    const result = planTimetable(workload, { ...request, turns, effort: EFFORT, reasons: 'spare' });
    if (!('timetable' in result)) return undefined;
    const { timetable } = result;
    let from = epochMs(Math.min(begin, beginOf(timetable).at));
    for (let round = 0; ; round += 1) {
      const decision = decidePromise(workload, timetable, from);
      if (decision.kind === 'holds') return { held: { timetable, earlier: seconds((begin - from) / 1000) } };
      from = plus(from, 0 - wholeMinutes(decision.breach.short));
      const isPast = now !== undefined && from < now;
      if (!isShortOfTime(decision.breach) || round === ROUNDS || isPast) return decision;
    }
  };
  return inOtherOrders(breach, tried).map(({ turns, held }) => ({ turns, ...held }));
}

/** A timetable that holds, and what was given for it. */
export interface Holding {
  readonly timetable: Timetable;
  /** So much more lies between the beginning and service. */
  readonly lead: Seconds;
  readonly turns: readonly Turn[];
}

/** What another turn costs a cook, in minutes of an earlier beginning. */
const TURN_COST = 8;

/**
 * A timetable that holds whatever happens within the ranges: the one that was made, else one that has a larger margin, or in which
 * others have their turn first; what is least trouble of what was found. Nothing where none was found.
 */
export function holdingTimetable(
  workload: Workload,
  request: PlanRequest,
  timetable: Timetable,
): Holding | undefined {
  const first = decidePromise(workload, timetable);
  if (first.kind === 'holds') return { timetable, lead: seconds(0), turns: [] };
  const tried = (turns: readonly Turn[]): Tried<Holding> => {
    let lead = seconds(0);
    for (let round = 0; ; round += 1) {
      const result = planTimetable(withLead(workload, lead), {
        ...request,
        ...(turns.length > 0 && { turns, effort: Math.min(request.effort ?? EFFORT, EFFORT) }),
        reasons: 'spare',
      });
      if (!('timetable' in result)) return undefined;
      const decision = decidePromise(workload, result.timetable);
      if (decision.kind === 'holds') return { held: { timetable: result.timetable, lead, turns } };
      if (!isShortOfTime(decision.breach) || round === ROUNDS) return decision;
      lead = seconds(lead + wholeMinutes(decision.breach.short));
    }
  };
  const usual = tried([]);
  const cost = ({ lead, turns }: Holding): number => lead / 60 + TURN_COST * turns.length;
  const found = usual && 'held' in usual ? [usual.held] : [];
  if (!found.some((each) => cost(each) <= TURN_COST))
    found.push(...inOtherOrders(first.breach, tried).map(({ held }) => held));
  return found.toSorted((a, b) => cost(a) - cost(b))[0];
}

function withLead(workload: Workload, lead: Seconds): Workload {
  if (lead === 0) return workload;
  return {
    ...workload,
    plans: workload.plans.map((plan) => ({ ...plan, margin: seconds(plan.margin + lead) })),
  };
}
