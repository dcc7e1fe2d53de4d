import type { Workload } from '../plan/index.ts';
import { epochMs, plus, seconds, type EpochMs, type Seconds } from '../units/index.ts';
import type { Turn } from './extract.ts';
import { beginOf } from './limits-chain.ts';
import { planTimetable, type PlanRequest } from './plan.ts';
import { decidePromise, type Breach } from './promise-decision.ts';
import type { Timetable } from './timetable.ts';

/** So many other orders are tried. */
const ORDERS = 8;

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

/** More than this is no question of beginning earlier, min. */
const LONGEST_LEAD = 24 * 60;

/**
 * How much earlier than `begin` the work of a timetable must begin so that it holds, in whole minutes; what breaks it where that does
 * not help. There may be many circles that each miss a little more than the one before, so it is looked for in growing steps, and then
 * between them.
 */
function leadFor(
  workload: Workload,
  timetable: Timetable,
  begin: EpochMs,
): { readonly lead: Seconds } | { readonly breach: Breach } {
  const decided = (minutes: number): ReturnType<typeof decidePromise> =>
    decidePromise(workload, timetable, plus(begin, -60 * minutes));
  let [low, high] = [-1, 0];
  for (let decision = decided(0); decision.kind === 'breaks'; decision = decided(high)) {
    const { breach } = decision;
    if (!isShortOfTime(breach) || high > LONGEST_LEAD) return { breach };
    low = high;
    high = Math.max(high + Math.ceil(breach.short / 60), 2 * high);
  }
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (decided(middle).kind === 'holds') high = middle;
    else low = middle;
  }
  return { lead: seconds(60 * high) };
}

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
    // What begins later by itself may as well begin then.
    const from = epochMs(Math.min(begin, beginOf(timetable).at));
    const needed = leadFor(workload, timetable, from);
    if ('breach' in needed) return needed;
    const earlier = seconds((begin - from) / 1000 + needed.lead);
    const isPast = now !== undefined && earlier > 0 && plus(begin, 0 - earlier) < now;
    return isPast ? undefined : { held: { timetable, earlier } };
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

/** So often is a larger margin planned. */
const REPLANNED = 3;

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
      const { timetable: made } = result;
      const needed = leadFor(workload, made, beginOf(made).at);
      if ('breach' in needed) return needed;
      if (needed.lead === 0) return { held: { timetable: made, lead, turns } };
      // It is planned with so much more margin, which may come out otherwise.
      lead = seconds(lead + needed.lead);
      if (round === REPLANNED) return undefined;
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
