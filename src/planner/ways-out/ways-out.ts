import type { PlanRequest, Refusal } from '../plan.ts';
import type { Workload } from '../../plan/index.ts';
import { chainOf } from '../limits-chain.ts';
import type { Timetable } from '../timetable.ts';
import { madeAhead } from './ahead.ts';
import { againstTheClock, changesOfPlan, lessMargin, oneLater, type Candidate } from './candidates.ts';
import { costOf } from './cost.ts';
import { eased, merged, type Asked, type Easing } from './easing.ts';
import { least } from './least.ts';
import { shortages } from './shortages.ts';
import { both, suspectsOfChain, suspectsOfRefusals, type Suspects } from './suspects.ts';
import { trial, triesFor, type Trial, type TrialLimits } from './trial.ts';
import { easingWords } from './words.ts';

/** A change that makes an impossible plan work: it was planned with, and what came out was verified. */
export interface WayOut {
  /** In the plan's words: `serve 25 min later, at 19:55`. */
  readonly message: string;
  /** What is changed: one thing as a rule, two or more where no single change does. */
  readonly easings: readonly Easing[];
  /** Of the last change one unit less does not do; seconds, or a count. */
  readonly unit: number;
  /** What it gives. It holds for the changed workload and request (see `eased`). */
  readonly timetable: Timetable;
}

export interface WaysOutOptions extends Partial<TrialLimits> {
  /** Why there is no timetable, where that is known already. */
  readonly reasons?: readonly Refusal[];
}

/** So many are offered at the most, and of one kind no more than so many. */
const [MOST, OF_A_KIND] = [5, 2];
/** What is tried by default: together some seconds at the very most, and for most plans less than one. */
const [TRIES, EFFORT] = [120, 400_000];

/**
 * What could be changed so that an impossible plan works: the cheapest changes first, at most five, each with the least
 * amount that does, solved and verified. Looked for only where the reasons point to, plus the time of service. Empty where
 * the plan works as it is, and where nothing was found.
 */
export function waysOut(
  workload: Workload,
  request: PlanRequest,
  options: WaysOutOptions = {},
): readonly WayOut[] {
  const asked: Asked = { workload, request };
  const tries = trial({ solves: triesFor(workload, TRIES), effort: EFFORT, ...options });
  const reasons = options.reasons ?? tries.reasons(asked);
  if (reasons.length === 0) return [];
  const short = shortages(workload);
  if (short.length > 0) return chosen(asked, stockedUp(asked, short, tries));
  const { open, suspects } = possible(asked, reasons, tries);
  const one = [...singles(asked, [], open, tries), ...madeAhead(asked, suspects, tries)];
  if (one.length > 0) return chosen(asked, one);
  const two = byTwo(asked, open, tries);
  return chosen(asked, two.length > 0 ? two : together(asked, open, tries));
}

/** What the kitchen must have in any case, and what else has to change then. */
function stockedUp(asked: Asked, short: readonly Easing[], tries: Trial): WayOut[] {
  const enough = tries.with(asked, ...short);
  if (enough) return [wayOut(asked, short, 1, enough)];
  return beside(asked, short, tries);
}

/** So many changes are looked at for another that goes with them. */
const FIRST_OF_TWO = 4;

/** Two changes: the first opens the way to another, which is looked for in what is refused then. */
function byTwo(asked: Asked, open: readonly Candidate[], tries: Trial): WayOut[] {
  return dearestLast(asked, open)
    .slice(0, FIRST_OF_TWO)
    .flatMap((candidate) => {
      const [way] = beside(asked, [largest(candidate)], tries);
      const [, second] = way?.easings ?? [];
      return second ? settled(asked, [second], candidate, tries) : [];
    });
}

const largest = ({ easing, most }: Candidate): Easing => easing(most.at(-1) ?? 0);

/** By what the least of each would cost. */
function dearestLast(asked: Asked, open: readonly Candidate[]): Candidate[] {
  const nothing: Timetable = { service: [], steps: [], settings: [] };
  const price = ({ easing, unitOf }: Candidate): number => costOf(asked.workload, easing(unitOf(0)), nothing);
  return open.toSorted((a, b) => price(a) - price(b));
}

/** Every single change that does, beside changes that are made already and are not enough. */
function beside(asked: Asked, made: readonly Easing[], tries: Trial): WayOut[] {
  const changed = made.reduce(eased, asked);
  const reasons = tries.reasons(changed);
  return reasons.length === 0 ? [] : singles(asked, made, possible(changed, reasons, tries).open, tries);
}

const singles = (asked: Asked, made: readonly Easing[], open: readonly Candidate[], tries: Trial): WayOut[] =>
  open.flatMap((candidate) => settled(asked, made, candidate, tries));

function wayOut(asked: Asked, made: readonly Easing[], unit: number, timetable: Timetable): WayOut {
  const easings = merged(made);
  return { message: easingWords(asked, easings, timetable), easings, unit, timetable };
}

interface Possible {
  readonly open: readonly Candidate[];
  readonly suspects: Suspects;
}

/** The changes that may help: against the clock where that is the trouble, and against what is in the way. */
function possible(asked: Asked, reasons: readonly Refusal[], tries: Trial): Possible {
  const { workload, request } = asked;
  const unhurried = withoutClock(asked);
  const free = unhurried && tries.with(unhurried);
  const named = suspectsOfRefusals(workload, reasons);
  if (!free) {
    const margins = lessMargin(asked, servedPlans(workload, named));
    return {
      suspects: named,
      open: [...changesOfPlan(workload, named), ...oneLater(asked, named), ...margins],
    };
  }
  const suspects = both(suspectsOfChain(workload, chainOf(workload, free, request)), named);
  return { suspects, open: [...againstTheClock(asked, free), ...changesOfPlan(workload, suspects)] };
}

/** The plans of components that may keep too short a time until service. */
function servedPlans({ components }: Workload, { keeps }: Suspects): readonly number[] {
  const needed = new Set(components.flatMap(({ steps }) => steps.flatMap((step) => step.needs)));
  const served = components.filter(({ id, steps }) => {
    const last = steps.at(-1);
    return keeps.includes(id) && last !== undefined && !needed.has(last.id);
  });
  return [...new Set(served.map(({ plan }) => plan))];
}

/** The same with all the time in the world, which is what is wanted first then; nothing where it is so already. */
function withoutClock({ workload, request }: Asked): Asked | undefined {
  const { now, ...timeless } = request;
  if (request.service.kind === 'soonest') return undefined;
  const { hours, ...kitchen } = workload.kitchen;
  if (now === undefined && hours === undefined) return undefined;
  return {
    workload: { ...workload, kitchen: { ...kitchen, nights: 'allowed' } },
    request: { ...timeless, prefer: ['day'] },
  };
}

/** The least of a candidate that does, beside changes that are made already. */
function settled(
  asked: Asked,
  made: readonly Easing[],
  { easing, most, unitOf, base, used }: Candidate,
  tries: Trial,
): WayOut[] {
  for (const amount of most) {
    const answer = least<Timetable>({
      works: (by) => tries.with(asked, ...made, easing(by)),
      most: amount,
      unitOf,
      ...(base !== undefined && { base }),
      ...(used && { used }),
    });
    if (answer) return [wayOut(asked, [...made, easing(answer.amount)], answer.unit, answer.found)];
  }
  return [];
}

/** More changes at once than this are no way out. */
const AT_ONCE = 3;

/**
 * Several changes together, where no single one does: everything at once, then one after the other taken back, the dearest
 * first, as long as it still works; then the least of each that is left.
 */
function together(asked: Asked, open: readonly Candidate[], tries: Trial): WayOut[] {
  let kept = dearestLast(asked, open);
  if (!tries.with(asked, ...kept.map(largest))) return [];
  for (const candidate of kept.toReversed()) {
    const others = kept.filter((other) => other !== candidate);
    if (tries.with(asked, ...others.map(largest))) kept = others;
  }
  return kept.length > AT_ONCE ? [] : leastOfEach(asked, kept.map(largest), kept, tries);
}

/** One change after the other is made as small as it can be beside the others. */
function leastOfEach(
  asked: Asked,
  all: readonly Easing[],
  kept: readonly Candidate[],
  tries: Trial,
): WayOut[] {
  let made = all;
  let found: WayOut[] = [];
  for (const candidate of kept) {
    // What was made least comes to stand last, so that the order is the old one when all are done.
    found = settled(asked, made.slice(1), candidate, tries);
    const [way] = found;
    if (!way) return [];
    made = way.easings;
  }
  return found;
}

/** The cheapest, not too many of one kind, and no two that say the same. */
function chosen(asked: Asked, ways: readonly WayOut[]): readonly WayOut[] {
  const priced = ways
    .filter((way) => !isOutdone(way, ways))
    .map((way) => ({
      way,
      cost: way.easings.reduce((sum, easing) => sum + costOf(asked.workload, easing, way.timetable), 0),
    }))
    .toSorted((a, b) => a.cost - b.cost);
  const kinds = new Map<string, number>();
  const said = new Set<string>();
  return priced
    .map(({ way }) => way)
    .filter((way) => {
      const kind = way.easings.map((easing) => easing.kind).join();
      const count = kinds.get(kind) ?? 0;
      const changes = way.easings
        .map((easing) => JSON.stringify(easing))
        .toSorted()
        .join();
      if (said.has(changes) || count >= (kind === 'make ahead' ? 1 : OF_A_KIND)) return false;
      kinds.set(kind, count + 1);
      said.add(changes);
      return true;
    })
    .slice(0, MOST);
}

/** Serving everything later says no more than serving one plan so much later. */
function isOutdone({ easings: [all] }: WayOut, ways: readonly WayOut[]): boolean {
  if (all?.kind !== 'serve later' || all.plans.length < 2) return false;
  return ways.some(
    ({ easings: [one] }) =>
      one?.kind === 'serve later' && one.plans.length < all.plans.length && one.by <= all.by,
  );
}
