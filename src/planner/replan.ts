import type { Preference, StepId, Workload } from '../plan/index.ts';
import { epochMs, type EpochMs } from '../units/index.ts';
import { calendarOf } from './calendar.ts';
import { changesBetween, stretchedWords, type Change } from './changes.ts';
import { solve, startOf, type Schedule } from './core/index.ts';
import { impossibleCycle } from './cycle.ts';
import { explain } from './explain.ts';
import { extract, type Extraction } from './extract.ts';
import { impossibleAlone } from './impossible.ts';
import { preferenceOf } from './ladder.ts';
import type { Refusal } from './plan.ts';
import type { Progress } from './progress.ts';
import { stepsOf } from './rules.ts';
import { soFar, type SoFar, type Yielding } from './so-far.ts';
import { otherWays, type Steer } from './other-ways.ts';
import { ovensNow } from './so-far-ovens.ts';
import type { OvenSetting, Timetable } from './timetable.ts';
import { scheduleOf, timetableOf } from './timetable-of.ts';
import { verify } from './verify.ts';
import { asLags } from './without.ts';

export interface ReplanRequest {
  readonly progress: Progress;
  readonly prefer?: readonly Preference[];
  /** How much work each attempt may cost; by default what takes some 10 ms. */
  readonly effort?: number;
  /** Whether other ways out are looked for too, where there is a first one. */
  readonly others?: boolean;
}

export type ReplanResult =
  /** The timetable that was told still holds. */
  | { readonly kind: 'as told' }
  | Proposal
  /** There is none, not even with a later service. */
  | { readonly kind: 'none'; readonly reasons: readonly Refusal[] }
  /** The effort was spent before one was found. */
  | { readonly kind: 'unknown' };

export interface Proposal {
  readonly kind: 'proposal';
  /** Every step: ended ones as they were, rounded down to whole seconds. */
  readonly timetable: Timetable;
  /** What moved by a minute or more, in order of time. */
  readonly changes: readonly Change[];
  /** Services that cannot be kept, by plan; empty where all are. */
  readonly serviceMoved: readonly { readonly plan: number; readonly from: EpochMs; readonly to: EpochMs }[];
  /** Windows that cannot be kept any more. */
  readonly broken: readonly BrokenWindow[];
  /** Other ways out, at most two, the cheapest first; only where they were asked for. */
  readonly others?: readonly OtherWay[];
}

/** Another way out than the first: verified like it. */
export interface OtherWay extends Omit<Proposal, 'kind' | 'others'> {
  /** What is different about it, in a few words: `lids before shells in the oven`. */
  readonly what: string;
}

export interface BrokenWindow {
  readonly steps: readonly StepId[];
  readonly message: string;
}

/** What may give way, in the order in which it is asked: the margin first, then service, and windows last. */
const ATTEMPTS: readonly Attempt[] = [
  { windows: 'hold', service: 'hold', margins: 'keep' },
  { windows: 'hold', service: 'hold', margins: 'drop' },
  { windows: 'hold', service: 'give', margins: 'drop' },
  { windows: 'give', service: 'give', margins: 'drop' },
];

const SOME = 50_000;

/**
 * A new timetable for a run under way: what is done is fixed, what is going is fixed at its start, and what was told moves
 * as little as it can. Service is kept where that is possible with every window kept; if it is not, service moves, and that
 * is said; windows give way only where nothing else helps. What it returns has been checked by {@link verify}.
 */
export function replan(workload: Workload, request: ReplanRequest): ReplanResult {
  const { progress } = request;
  if (stillHolds(workload, progress, 'keep')) return { kind: 'as told' };
  const alone = impossibleAlone(workload);
  if (alone.length > 0) return { kind: 'none', reasons: alone };
  let spent = false;
  for (const attempt of ATTEMPTS) {
    // What was told may have used up the margin already.
    if (attempt.margins === 'drop' && stillHolds(workload, progress, 'drop')) return { kind: 'as told' };
    const found = tried(workload, request, attempt);
    if (found === 'spent') spent = true;
    else if (found) return request.others ? withOthers(workload, request, found) : found;
  }
  return spent ? { kind: 'unknown' } : { kind: 'none', reasons: whyNone(workload, request) };
}

function withOthers(workload: Workload, request: ReplanRequest, first: Proposal): Proposal {
  const others = otherWays(workload, request.progress, first, (turn) => {
    const { told } = request.progress;
    const service = told.service.map((moment, plan) =>
      request.progress.served.includes(plan) ? moment : epochMs(moment + turn.later * 1000),
    );
    const found = timetableWith(workload, request, service, { ...turn.attempt, margins: 'drop' }, turn.steer);
    return found === 'spent' ? undefined : found;
  });
  return others.length > 0 ? { ...first, others } : first;
}

/** What cannot be met even where service and every window may give way. */
function whyNone(workload: Workload, request: ReplanRequest): readonly Refusal[] {
  const last = ATTEMPTS.at(-1);
  if (!last) return [];
  const { extraction, asked } = ask(workload, request, request.progress.told.service, last);
  return explain(workload, { ...extraction, problem: asked.problem }, 2 * SOME);
}

/** Whether what was told can be done to the second, with what has happened in place of what was to happen. */
function stillHolds(workload: Workload, progress: Progress, margins: 'keep' | 'drop'): boolean {
  return verify(workload, asHappened(progress), { progress, margins }).length === 0;
}

/** What was told, with what has happened in the place of what was to happen. */
export function asHappened({ told, steps, now }: Progress): Timetable {
  const whole = (moment: EpochMs): EpochMs => epochMs(Math.floor(moment / 1000) * 1000);
  const happened = told.steps.map((planned) => {
    const standing = steps[planned.step];
    if (!standing || standing.kind === 'open') return planned;
    if (standing.kind === 'ended')
      return { ...planned, start: whole(standing.start), end: whole(standing.end) };
    const end = epochMs(Math.max(planned.end, Math.ceil(standing.soonest / 1000) * 1000, whole(now)));
    return { ...planned, start: whole(standing.start), end };
  });
  return { ...told, steps: happened.toSorted((a, b) => a.start - b.start) };
}

function tried(workload: Workload, request: ReplanRequest, attempt: Attempt): Proposal | 'spent' | undefined {
  const { progress } = request;
  const found = timetableWith(workload, request, progress.told.service, attempt);
  if (found === 'spent' || found === undefined) return found;
  if (attempt.service === 'hold') return found;
  // Until here only the soonest service was looked for. It is announced in whole minutes; only if that stretches something is it
  // told to the second.
  const minutes = found.timetable.service.map((moment) => epochMs(Math.ceil(moment / 60_000) * 60_000));
  const rounded = timetableWith(workload, request, minutes, { ...attempt, service: 'hold' });
  return rounded === 'spent' || rounded === undefined ? found : rounded;
}

type Attempt = Yielding & { readonly margins: 'keep' | 'drop' };

interface Asked {
  readonly extraction: Extraction;
  readonly asked: SoFar;
  readonly base: EpochMs;
}

function ask(
  workload: Workload,
  { progress, prefer }: ReplanRequest,
  service: readonly EpochMs[],
  attempt: Attempt,
): Asked {
  const base = epochMs(Math.floor(Math.max(...service) / 1000) * 1000);
  const extraction = extract(workload, {
    services: service.map((moment) => Math.floor((moment - base) / 1000)),
    margins: attempt.margins,
    prefer: prefer ?? preferenceOf(workload),
    beginNotBefore: Math.ceil((progress.now - base) / 1000),
    calendar: calendarOf(workload, base, 'before', Math.floor((base - progress.now) / 1000)),
  });
  return { extraction, asked: soFar(workload, extraction, progress, base, attempt), base };
}

function timetableWith(
  workload: Workload,
  request: ReplanRequest,
  service: readonly EpochMs[],
  attempt: Attempt,
  steer?: Steer,
): Proposal | 'spent' | undefined {
  const { progress, effort = SOME } = request;
  const { extraction, asked: plain, base } = ask(workload, request, service, attempt);
  const asked = steer ? { ...plain, problem: steer(plain.problem, extraction) } : plain;
  const { points, lags } = asLags(asked.problem);
  // Mostly there is simply not time enough, and that is seen without a search.
  if (impossibleCycle(points, lags)) return undefined;
  const levels = asked.problem.objective;
  const lastLevel = levels.findIndex(({ name }) => name === 'service');
  const problem =
    lastLevel < 0 ? asked.problem : { ...asked.problem, objective: levels.slice(0, lastLevel + 1) };
  const found = solve(problem, {
    budget: { work: effort },
    warmStart: scheduleOf(workload, extraction, progress.told, base, asked.problem.activities),
  });
  if (found.status === 'unknown') return 'spent';
  if (found.status === 'infeasible') return undefined;
  return proposed(workload, progress, service, { extraction, asked, base, schedule: found.schedule });
}

interface Found extends Asked {
  readonly schedule: Schedule;
}

function proposed(
  workload: Workload,
  progress: Progress,
  asked: readonly EpochMs[],
  found: Found,
): Proposal | 'spent' {
  const { extraction, base, schedule } = found;
  const at = (point: number): number => schedule.times[point] ?? 0;
  const service = asked.map((moment, plan) => {
    const second = epochMs(base + at(startOf(extraction.extras.service(plan))) * 1000);
    return second > moment ? second : moment;
  });
  const fresh = timetableOf(
    workload,
    extraction,
    schedule,
    base,
    service,
    ovensNow(workload, progress, base),
  );
  const startOfStep = new Map(fresh.steps.map(({ step, start }) => [step, start]));
  const before = progress.told.settings
    .filter((setting) => wasSet(progress, setting))
    .map((setting) =>
      progress.steps[setting.step]?.kind === 'open'
        ? { ...setting, hotBy: startOfStep.get(setting.step) ?? setting.hotBy }
        : setting,
    );
  const timetable = {
    ...fresh,
    settings: [...before, ...fresh.settings].toSorted((a, b) => a.at - b.at),
  };
  const broken = brokenWindows(found);
  // A timetable that fails its check is never shown.
  if (verify(workload, timetable, { progress, margins: 'drop', broken }).length > 0) return 'spent';
  const { told } = progress;
  return {
    kind: 'proposal',
    timetable,
    changes: changesBetween(workload, progress, timetable),
    serviceMoved: timetable.service.flatMap((to, plan) => {
      const from = told.service[plan];
      return from === undefined || from === to ? [] : [{ plan, from, to }];
    }),
    broken,
  };
}

/** Whether a setting lies behind: it was for something that has begun, or the knob shows it. */
function wasSet({ now, steps, ovens }: Progress, { at, step, oven, heat }: OvenSetting): boolean {
  if (at >= now) return false;
  const knob = ovens.find((standing) => standing.oven === oven)?.knob;
  return steps[step]?.kind !== 'open' || (heat.kind === 'at' && heat.temperature.celsius === knob);
}

function brokenWindows({ extraction, asked, schedule }: Found): BrokenWindow[] {
  return asked.windows.flatMap(({ rule: number, limit, stretched }) => {
    const over = (schedule.times[stretched] ?? 0) - (schedule.times[limit] ?? 0);
    const rule = extraction.rules[number];
    const message = rule && over > 0 ? stretchedWords(rule, over) : undefined;
    if (!rule || message === undefined) return [];
    return [{ steps: stepsOf(rule).map(({ id }) => id), message }];
  });
}
