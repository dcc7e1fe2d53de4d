import type { Demonstration, Workload } from '../../plan/index.ts';
import { epochMs, plus, seconds, type EpochMs } from '../../units/index.ts';
import { planTimetable, withUsualLengths, type Refusal } from '../plan.ts';
import type { Timetable } from '../timetable.ts';
import { whenFrom } from '../words.ts';
import { slotsOf } from './slots.ts';
import { firstTimetable, goodTimetable, type Asked, type Planned } from './first-timetable.ts';
import { Alone } from './alone.ts';
import { choices, type Choice } from './choices.ts';
import { derive, type Derived, type Stage } from './derive.ts';
import { inTheirOvens } from './ovens.ts';
import { reasonsFor } from './reasons.ts';
import type { Rundown, StageRequest, StageResult } from './rundown.ts';
import { mostSlack, type WithSlack } from './most-slack.ts';
import { rundownOf } from './telling.ts';
import { verifyRundown } from './verify-rundown.ts';

/** Work for the timetables of all stories that are tried, and of each. */
const ALL = 24_000_000;
const EACH = 2_000_000;
/** Work for making the timetable of the story that was chosen a good one. */
const POLISH = 6_000_000;
/** What is only to be seen feasible is looked for this far ahead of now. */
const AHEAD = seconds(60 * 86_400);

/**
 * Plans the demonstration that a workload's plan carries: of all the ways in which things can be carried on or fetched, the one
 * with the fewest swaps, then the least work ahead, for which there is a timetable; or why there is none. What could be carried on only
 * if nothing takes long is fetched, where a copy would have time in hand.
 * What it returns has been checked by {@link verifyRundown}.
 * @throws RangeError when the workload is not one plan with a demonstration, or the soonest is asked for without a now; Error
 * when a rundown fails its check (our own mistake).
 */
export function planDemonstration(workload: Workload, request: StageRequest): StageResult {
  const [plan] = workload.plans;
  if (!plan?.demonstration || workload.plans.length > 1)
    throw new RangeError('one plan with a demonstration is wanted');
  if (request.when.kind === 'soonest' && request.now === undefined)
    throw new RangeError('the soonest is reckoned from now: say when that is');
  const stage = stageOf(workload, plan.demonstration, request.helper);
  const ends = endOf(stage, request);
  const alone = new Alone(stage, ends);
  const hopeless = alone.hopeless();
  if (hopeless.length > 0) return { status: 'refused', reasons: hopeless };
  const effort = request.effort ?? ALL;
  const now = request.when.kind === 'on air' ? request.now : undefined;
  const found = bestRight(stage, alone, { ends, effort, ...(now !== undefined && { now }) });
  if (found.kind === 'right')
    return request.when.kind === 'soonest'
      ? soonest(stage, found, request)
      : polished(stage, found, ends, request);
  if (now !== undefined) {
    const early = bestRight(stage, alone, { ends, effort });
    if (early.kind === 'right') return tooLate(stage, early, ends, request);
  }
  return found.kind === 'none' ? refused(stage, found.all, ends) : { status: 'unknown' };
}

const stageOf = (workload: Workload, demonstration: Demonstration, helper?: boolean): Stage => ({
  workload,
  demonstration,
  helper: helper ?? demonstration.helper,
  slots: slotsOf(demonstration),
});

const lastsOf = ({ slots }: Stage): ReturnType<typeof seconds> => seconds(slots.at(-1)?.to ?? 0);

const endOf = (stage: Stage, { when, now }: StageRequest): EpochMs =>
  when.kind === 'on air' ? plus(when.at, lastsOf(stage)) : plus(now ?? epochMs(0), AHEAD);

interface Right extends WithSlack {
  readonly kind: 'right';
  readonly choice: Choice;
  readonly derived: Derived;
  /** No better story was left unanswered. */
  readonly proven: boolean;
}

type Found =
  | Right
  | { readonly kind: 'none'; readonly all: readonly Choice[] }
  | { readonly kind: 'unknown' };

/** Looks for timetables until the effort is spent. */
class Looking {
  readonly #ends: EpochMs;
  readonly #now: EpochMs | undefined;
  #left: number;
  /** No question was left unanswered. */
  isProven = true;

  constructor(ends: EpochMs, effort: number, now?: EpochMs) {
    [this.#ends, this.#now, this.#left] = [ends, now, effort];
  }

  get isSpent(): boolean {
    return this.#left <= 0;
  }

  timetable(workload: Workload): Planned | undefined {
    if (this.isSpent) {
      this.isProven = false;
      return undefined;
    }
    const result = firstTimetable(workload, {
      ends: this.#ends,
      effort: Math.min(EACH, this.#left),
      ...(this.#now !== undefined && { now: this.#now }),
    });
    // An answer that there is none costs some work too, which is not told.
    this.#left -= result.status === 'infeasible' ? A_REFUSAL : result.work;
    if ('timetable' in result) return result;
    if (result.status === 'unknown') this.isProven = false;
    return undefined;
  }
}

/**
 * The cheapest story in which nothing is carried on that may not be ready in time where a copy would be, with as much slack as
 * there is; if none of those has a timetable, the cheapest of all.
 */
function bestRight(stage: Stage, alone: Alone, { ends, effort, now }: Asked): Found {
  const looking = new Looking(ends, effort, now);
  const tried = new Set<string>();
  let all: readonly Choice[] = [];
  for (const answer of ['wise', 'possible'] as const) {
    const found = choices(stage, (question, carried) => alone[answer](question, carried));
    all = found.choices;
    for (const choice of all) {
      if (tried.has(choice.answers)) continue;
      tried.add(choice.answers);
      const derived = derive(stage, choice.story);
      const result = looking.timetable(derived.workload);
      if (!result && looking.isSpent) return { kind: 'unknown' };
      if (!result) continue;
      const proven = looking.isProven && found.complete;
      const most = mostSlack(derived, result, (each) => looking.timetable(each));
      return { kind: 'right', choice, derived, proven, ...most };
    }
    looking.isProven &&= found.complete;
  }
  return looking.isProven ? { kind: 'none', all } : { kind: 'unknown' };
}

/** What it costs to be told that there is none. */
const A_REFUSAL = 100_000;

function solved(stage: Stage, { choice, derived, proven }: Right, timetable: Timetable): StageResult {
  const told: Derived = { ...derived, workload: inTheirOvens(derived.workload, timetable) };
  const usual = withUsualLengths(told.workload, timetable);
  const rundown: Rundown = rundownOf(stage, choice.story, told, usual, proven);
  const wrong = verifyRundown(stage.workload, rundown);
  if (wrong.length > 0) throw new Error(`a rundown that fails its check: ${wrong.join('; ')}`);
  return { status: 'solved', rundown };
}

/** The same story with a good timetable. */
function polished(
  stage: Stage,
  found: Right,
  ends: EpochMs,
  { effort = POLISH, now }: StageRequest,
): StageResult {
  const { result, slack } = found;
  const asked = { ends, effort: Math.min(effort, POLISH), ...(now !== undefined && { now }) };
  const good = result.status === 'optimal' ? result : goodTimetable(slack, result, asked);
  return solved(stage, found, good.timetable);
}

function soonest(stage: Stage, found: Right, { now, effort }: StageRequest): StageResult {
  const result = planTimetable(found.slack, {
    service: { kind: 'soonest' },
    ...(now !== undefined && { now }),
    ...(effort !== undefined && { effort }),
  });
  if ('timetable' in result) return solved(stage, found, result.timetable);
  return result.status === 'infeasible'
    ? { status: 'refused', reasons: result.reasons }
    : { status: 'unknown' };
}

/** It could go on air then if work had begun earlier. */
function tooLate(
  stage: Stage,
  { derived, slack, result }: Right,
  ends: EpochMs,
  { now = epochMs(0), when }: StageRequest,
): StageResult {
  const { timetable } = goodTimetable(slack, result, { ends, effort: EACH });
  const first = Math.min(
    ...timetable.steps.map(({ start }) => start),
    ...timetable.settings.map(({ at }) => at),
  );
  const at = when.kind === 'on air' ? when.at : now;
  const words = whenFrom(stage.workload.kitchen.timeZone, at);
  const next = planTimetable(slack, { service: { kind: 'soonest' }, now });
  const could =
    'timetable' in next ? next.timetable.steps.find(({ step }) => step === derived.onAir)?.start : undefined;
  const message = `it cannot go on air at ${words(at)}: work ahead would have to begin at ${words(epochMs(first))}, and it is ${words(now)}${could === undefined ? '' : `; the soonest is ${words(could)}`}`;
  const reason: Refusal = { message, steps: [], places: [stage.demonstration.place] };
  return { status: 'refused', reasons: [reason] };
}

/** Each copy can be right by itself, but not all together: told of the cheapest story. */
function refused(stage: Stage, all: readonly Choice[], ends: EpochMs): StageResult {
  const [best] = all;
  return { status: 'refused', reasons: best ? reasonsFor(derive(stage, best.story), ends) : [] };
}
