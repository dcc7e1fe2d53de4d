import type { Place, Step, StepId, Workload } from '../plan/index.ts';
import { plus, roughly, seconds, weekday, type EpochMs, type Seconds } from '../units/index.ts';
import { beginOf, chainOf, type ChainLink } from './limits-chain.ts';
import { beginWords, changeWords, linkWords } from './limits-words.ts';
import type { PlanRequest } from './plan.ts';
import type { Timetable } from './timetable.ts';
import type { VerifiedRule } from './verify.ts';
import type { Asked, Easing } from './ways-out/easing.ts';
import { changesOfPlan } from './ways-out/candidates.ts';
import { suspectsOfChain } from './ways-out/suspects.ts';
import { trial, triesFor, type TrialLimits } from './ways-out/trial.ts';

/** What fixes when work begins, and what would change it. */
export interface Limits {
  readonly begins: EpochMs;
  /** When and with what work begins, in words. */
  readonly message: string;
  /** From the first step to service, or to whatever else nobody can move. */
  readonly chain: readonly LimitLink[];
  /** What buys the most first; what buys nothing is left out. */
  readonly gains: readonly Gain[];
}

/** A step of the chain, and why it cannot come later. */
export interface LimitLink {
  readonly step: StepId;
  readonly start: EpochMs;
  readonly end: EpochMs;
  /** What pushes it: the rule that would be broken, or what would be lost. */
  readonly why: VerifiedRule | 'freshness' | 'night';
  /** The step that pushes it; none at the end of the chain. */
  readonly next?: StepId;
  /** In the plan's words: `takes 30 min (line 12); tart.bake follows`. */
  readonly message: string;
  readonly place: Place;
}

/** A small change and how much later work could begin with it, planned anew and verified. */
export interface Gain {
  readonly easing: Easing;
  /** How much later work could begin. Above 0. */
  readonly later: Seconds;
  /** The change in words: `a minute less on tart.roll (line 12)`. */
  readonly change: string;
  /** The change and what it buys: `...: work could begin 1 min later`. */
  readonly message: string;
}

/** So many are planned anew at the most; others go unasked. */
const [TRIES, EFFORT] = [60, 200_000];
/** What is taken off, or added. */
const A_MINUTE = seconds(60);

/**
 * What limits a timetable: the chain of steps that fixes when work begins, and what a minute less on each of its steps, a minute
 * more on each of its windows, or one more of what its steps wait for, would buy. Beside the chain a minute can only help by
 * turning the order of things; those steps are asked last, as far as the tries go.
 */
export function limits(
  workload: Workload,
  request: PlanRequest,
  timetable: Timetable,
  options: Partial<TrialLimits> = {},
): Limits {
  const links = chainOf(workload, timetable, request);
  return {
    begins: beginOf(timetable).at,
    message: beginWords(workload, timetable),
    chain: byStep(links).flatMap((link) => told(workload, timetable, link)),
    gains: gains({ workload, request: fixedService(request, timetable) }, timetable, links, {
      solves: triesFor(workload, TRIES),
      effort: EFFORT,
      ...options,
    }),
  };
}

/** The soonest service would only come sooner: what a minute buys is asked for the service that there is. Now does not matter. */
function fixedService({ margins, prefer, warmStart }: PlanRequest, { service }: Timetable): PlanRequest {
  return {
    service: { kind: 'at', moments: service },
    ...(margins && { margins }),
    ...(prefer && { prefer }),
    ...(warmStart && { warmStart }),
  };
}

/** The two ends of a rest are one link, pushed by what pushes its later one. */
function byStep(links: readonly ChainLink[]): ChainLink[] {
  return links.filter(({ mover }, index) => links[index + 1]?.mover.step !== mover.step);
}

function told(workload: Workload, timetable: Timetable, { mover, why }: ChainLink): LimitLink[] {
  const entry = timetable.steps.find(({ step }) => step === mover.step);
  const step = workload.components.flatMap(({ steps }) => steps).find(({ id }) => id === mover.step);
  if (!entry || !step) return [];
  const next = 'next' in why ? why.next?.step : undefined;
  return [
    {
      step: mover.step,
      start: entry.start,
      end: entry.end,
      why: why.kind === 'rule' ? why.rule : why.kind,
      ...(next !== undefined && { next }),
      message: linkWords(workload, timetable, step, why),
      place: step.place,
    },
  ];
}

function gains(
  asked: Asked,
  timetable: Timetable,
  links: readonly ChainLink[],
  options: TrialLimits,
): readonly Gain[] {
  const tries = trial(options);
  const before = beginOf(timetable).at;
  return changes(asked, timetable, links)
    .flatMap((easing): Gain[] => {
      const found = tries.with(asked, easing);
      const later = found ? seconds((beginOf(found).at - before) / 1000) : seconds(0);
      if (later <= 0) return [];
      const change = changeWords(asked, easing);
      return [{ easing, later, change, message: `${change}: work could begin ${roughly(later)} later` }];
    })
    .toSorted((a, b) => b.later - a.later);
}

/** A minute off every length, a minute on every window of the chain, one more of everything that is waited for. */
function changes({ workload, request }: Asked, timetable: Timetable, links: readonly ChainLink[]): Easing[] {
  const onChain = new Set(links.map(({ mover }) => mover.step));
  const steps = workload.components.flatMap((component) => component.steps);
  const plans = new Set(
    workload.components
      .filter((component) => component.steps.some(({ id }) => onChain.has(id)))
      .map(({ plan }) => plan),
  );
  const margins = [...plans]
    .filter((plan) => request.margins !== 'drop' && (workload.plans[plan]?.margin ?? 0) >= A_MINUTE)
    .map((plan): Easing => ({ kind: 'less margin', plan, by: A_MINUTE }));
  return [
    ...steps.filter(({ id }) => onChain.has(id)).flatMap(aMinuteLess),
    ...changesOfPlan(workload, suspectsOfChain(workload, links)).map(({ easing, unitOf }) =>
      easing(unitOf(1)),
    ),
    ...margins,
    ...longerHours(workload, timetable, links),
    ...steps.filter(({ id }) => !onChain.has(id)).flatMap(aMinuteLess),
  ];
}

/** A minute more of work on the day whose end is in the way. */
function longerHours(
  { kitchen }: Workload,
  { steps }: Timetable,
  links: readonly ChainLink[],
): readonly Easing[] {
  const last = links.at(-1);
  const entry = steps.find(({ step }) => step === last?.mover.step);
  if (!entry || last?.why.kind !== 'rule' || last.why.rule !== 'hours') return [];
  const day = WEEK.indexOf(weekday(plus(entry.end, -1), kitchen.timeZone));
  return [{ kind: 'work longer', day, side: 'after', by: A_MINUTE }];
}

const WEEK = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];

function aMinuteLess({ id: step, length, after }: Step): Easing[] {
  const least = length.kind === 'rest' ? length.atLeast : length.range.usual;
  return [
    ...(least >= A_MINUTE ? [{ kind: 'shorter', step, by: A_MINUTE } as const] : []),
    ...(after >= A_MINUTE ? [{ kind: 'follow sooner', step, by: A_MINUTE } as const] : []),
  ];
}
