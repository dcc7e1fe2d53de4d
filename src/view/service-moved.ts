import { ifServiceMoved, project, type BenchState, type ServiceMove } from '../bench/index.ts';
import type { ReplanResult } from '../planner/index.ts';
import { roughly, secondsBetween, type EpochMs } from '../units/index.ts';
import { marginWords, type Tone } from './headline.ts';
import { differences, type OfferLine } from './offer.ts';
import { clean, clockWords } from './text.ts';

/** What the planner says of a service that is not moved yet; `failed` where it could not say. */
export type MoveAnswer = ReplanResult | { readonly kind: 'failed' };

/** What it would mean if the guests came at another time, before anything is moved. */
export interface MovedServiceView {
  /** For each plan that is moved: `service 19:40 instead of 19:30, 10 min later`. */
  readonly moves: readonly string[];
  /** Whether it can be done, before all else: `in time with a new timetable, 8 min in hand`. */
  readonly headline: string;
  readonly tone: Tone;
  /** What breaks, then what would be at another time. */
  readonly lines: readonly OfferLine[];
  /** Whether there is a new timetable for it that can be taken at once. */
  readonly hasTimetable: boolean;
}

/**
 * What moving service would mean; `answer` is the planner's, and nothing as long as it has not answered.
 * Where it cannot be moved to there, why is the headline.
 */
export function movedServiceView(
  state: BenchState,
  now: EpochMs,
  moves: readonly ServiceMove[],
  answer: MoveAnswer | undefined,
): MovedServiceView {
  const words = moves.map((move) => moveWords(state, now, move));
  const moved = ifServiceMoved(state, moves, now);
  if (!moved.ok)
    return { moves: words, headline: clean(moved.why), tone: 'bad', lines: [], hasTimetable: false };
  return { moves: words, ...meaning(moved.state, now, moves, answer) };
}

/** `service 19:40 instead of 19:30, 10 min later`, or with the plan's title where there are several. */
function moveWords(state: BenchState, now: EpochMs, { plan, to }: ServiceMove): string {
  const { plans, kitchen } = state.setup.workload;
  const what = plans.length > 1 ? clean(plans[plan]?.title ?? '') : 'service';
  const from = state.timetable.service[plan] ?? to;
  const clock = (moment: EpochMs): string => clockWords(moment, now, kitchen.timeZone);
  const apart = roughly(secondsBetween(to < from ? to : from, to < from ? from : to));
  return `${what} ${clock(to)} instead of ${clock(from)}, ${apart} ${to < from ? 'earlier' : 'later'}`;
}

type Meaning = Omit<MovedServiceView, 'moves'>;

function meaning(
  moved: BenchState,
  now: EpochMs,
  moves: readonly ServiceMove[],
  answer: MoveAnswer | undefined,
): Meaning {
  const asItGoes = marginWords(project(moved, now).margin);
  const plain = (headline: string, tone: Tone): Meaning => ({
    headline,
    tone,
    lines: [],
    hasTimetable: false,
  });
  switch (answer?.kind) {
    case undefined:
      return plain(`working out what it means; as it goes now ${asItGoes.margin}`, 'plain');
    case 'as told':
      return plain(`the timetable you have does for it, ${asItGoes.margin}`, asItGoes.tone);
    case 'none':
      return plain(
        `there is no timetable for it${answer.reasons[0] ? `: ${clean(answer.reasons[0].message)}` : ''}`,
        'bad',
      );
    case 'unknown':
    case 'failed':
      return plain(`no timetable was found for it; as it goes now ${asItGoes.margin}`, asItGoes.tone);
    case 'proposal': {
      const { timetable, serviceMoved } = answer;
      const margin = marginWords(project({ ...moved, timetable }, now).margin);
      const late = serviceMoved.map((each) => lateWords(moved, now, moves, each));
      const isWhole = late.length === 0 && answer.broken.length === 0;
      return {
        headline: late[0] ?? `in time with a new timetable, ${margin.margin}`,
        tone: isWhole ? margin.tone : late.length > 0 ? 'bad' : 'care',
        lines: [...late.slice(1).map((text) => ({ kind: 'service' as const, text })), ...differences(answer)],
        hasTimetable: true,
      };
    }
  }
}

/** `not in time: 19:22 at the soonest, 12 min after 19:10`. */
function lateWords(
  { setup }: BenchState,
  now: EpochMs,
  moves: readonly ServiceMove[],
  { plan, from, to }: { readonly plan: number; readonly from: EpochMs; readonly to: EpochMs },
): string {
  const { plans, kitchen } = setup.workload;
  const clock = (moment: EpochMs): string => clockWords(moment, now, kitchen.timeZone);
  const isAsked = moves.some((move) => move.plan === plan);
  const what = plans.length > 1 ? `${clean(plans[plan]?.title ?? '')} ` : '';
  const after = `${roughly(secondsBetween(from, to))} after ${clock(from)}`;
  return `${isAsked ? 'not in time: ' : 'not in time for what else is served: '}${what}${clock(to)} at the soonest, ${after}`;
}
