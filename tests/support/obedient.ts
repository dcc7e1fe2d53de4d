import {
  answer,
  apply,
  begin,
  happeningOf,
  nextDeadline,
  progressOf,
  wantsReplan,
  type BenchState,
  type Happening,
  type RunSetup,
} from '../../src/bench/index.ts';
import type { Step, StepId, Workload } from '../../src/plan/index.ts';
import { replan } from '../../src/planner/index.ts';
import { later, plus, type EpochMs } from '../../src/units/index.ts';

/** How things go in an obedient kitchen. */
export interface Fate {
  /** How long a step truly takes, s; of a rest, its least. */
  readonly length: (step: Step) => number;
  /** How late an answer is, s: to a call, or to the end of a step. */
  readonly delay: (about: string) => number;
}

/** What a cook does beside answering. */
export interface Habits {
  /** Takes every new timetable that is found. */
  readonly replans?: boolean;
  /** Asked after each event. */
  readonly look?: (state: BenchState) => void;
}

/**
 * Plays a run with a cook who does nothing but answer: every call so much after it is due, and what is over so much after that,
 * whatever else is going on.
 * @returns the run as it was served, or as it stood when nothing was left to answer.
 */
export function obey(setup: RunSetup, { length, delay }: Fate, { replans, look }: Habits = {}): BenchState {
  const steps = new Map<StepId, Step>(
    setup.workload.components.flatMap((component) => component.steps.map((step) => [step.id, step])),
  );
  let state = begin(setup);
  let now = setup.begunAt;
  const asked = new Set<string>();
  for (let count = 0; count < 2000 && state.servedAt === undefined; count += 1) {
    const act = nextAct(state);
    const deadline = nextDeadline(state);
    const isClock = deadline !== undefined && (!act || deadline <= act.at);
    if (!isClock && !act) break;
    now = later(now, isClock ? deadline : (act?.at ?? now));
    const stamp = { id: `e${count}`, time: now, source: isClock ? 'clock' : 'cook' } as const;
    const happening: Happening = isClock || !act ? { kind: 'clock' } : act.happening(now);
    state = apply(state, { ...stamp, ...happening }).state;
    if (replans) state = withNewTimetable(state, asked);
    look?.(state);
  }
  return state;

  interface Act {
    readonly at: EpochMs;
    readonly happening: (at: EpochMs) => Happening;
  }

  function nextAct({ calls, components }: BenchState): Act | undefined {
    const answers = calls
      .filter(({ asks }) => asks.kind !== 'done' || steps.get(asks.step)?.length.kind === 'rest')
      .map((call): Act => ({
        at: plus(call.due, call.asks.kind === 'served' ? 0 : delay(call.key)),
        happening: (at) => answer(call, at),
      }));
    const ends = components
      .flatMap((component) => component.steps)
      .flatMap((run): Act[] => {
        const step = steps.get(run.step);
        if (run.state !== 'running' || !step || step.length.kind === 'rest') return [];
        const at = plus(run.startedAt, length(step) + delay(`end ${step.id}`));
        return [{ at, happening: (moment) => ({ kind: 'done', step: step.id, at: moment }) }];
      });
    return [...ends, ...answers].reduce<Act | undefined>(
      (first, act) => (first && first.at <= act.at ? first : act),
      undefined,
    );
  }
}

/** The run with a new timetable taken, where one is wanted and found; what was asked once is not asked again. */
function withNewTimetable(state: BenchState, asked: Set<string>): BenchState {
  const situation = wantsReplan(state);
  if (!situation || asked.has(situation.key)) return state;
  asked.add(situation.key);
  const id = `t${asked.size}`;
  const result = replan(state.setup.workload, { progress: progressOf(state) });
  const stamp = { time: state.time, source: 'cook' } as const;
  const offered = apply(state, { ...stamp, id: `${id} offer`, ...happeningOf(situation, result) }).state;
  const timetable = offered.replanning.proposal?.timetable;
  if (!timetable) return offered;
  asked.clear();
  return apply(offered, { ...stamp, id: `${id} take ${state.time}`, kind: 'timetable', timetable }).state;
}

/** When each step of a run was under way, in seconds. */
export type Times = ReadonlyMap<StepId, { readonly start: number; readonly end: number }>;

export function timesOf({ components }: BenchState): Times {
  return new Map(
    components.flatMap(({ steps }) =>
      steps.flatMap((run): [StepId, { start: number; end: number }][] =>
        run.state === 'ended' ? [[run.step, { start: run.startedAt / 1000, end: run.endedAt / 1000 }]] : [],
      ),
    ),
  );
}

/**
 * What a run did not keep: windows, service, and that hands, near slots and equipment were there. Windows narrower than an answer
 * count to the call.
 *
 * @param since only what came to its end after this moment is looked at.
 */
export function brokenIn(
  state: BenchState,
  of: Workload,
  longestAnswer: number,
  since = -Infinity,
): string[] {
  const times = timesOf(state);
  const isOld = (moment: number): boolean => moment * 1000 <= since;
  const at = (id: StepId): { start: number; end: number } => times.get(id) ?? { start: NaN, end: NaN };
  const found: string[] = [];
  const atMost = (what: string, actual: number, most: number): void => {
    if (!(actual <= most + 1)) found.push(`${what}: ${actual} s, not ${most} s`);
  };
  for (const component of of.components) {
    component.steps.forEach((step, place) => {
      const before = component.steps[place - 1];
      const { start, end } = at(step.id);
      if (before) {
        const wait = start - at(before.id).end;
        if (step.within !== undefined && !isOld(start))
          atMost(`within ${step.id}`, wait, Math.max(step.within, step.after + longestAnswer));
        // A rest is over when it is taken.
        if (before.length.kind !== 'rest' && !isOld(start)) atMost(`after ${step.id}`, step.after, wait);
      }
      if (step.length.kind === 'rest' && step.length.atMost !== undefined && !isOld(end)) {
        const { atLeast, atMost: most } = step.length;
        // It is written down as over when what follows begins, also where that has to wait.
        const wait = step.until ? 0 : (component.steps[place + 1]?.after ?? 0);
        atMost(`rest ${step.id}`, end - start, wait + Math.max(most, atLeast + 2 * longestAnswer));
      }
      for (const needed of isOld(start) ? [] : step.needs)
        atMost(`${step.id} needs ${needed}`, at(needed).end, start);
    });
    const last = component.steps.at(-1);
    if (!last) continue;
    const users = of.components.flatMap(({ steps }) => steps).filter(({ needs }) => needs.includes(last.id));
    const made = at(last.id).end;
    const service = (state.timetable.service[component.plan] ?? NaN) / 1000;
    if (!isOld(made)) atMost(`service of ${last.id}`, made, service);
    if (component.keeps === undefined) continue;
    if (users.length === 0) atMost(`keeps ${component.id}`, service - made, component.keeps);
    for (const user of users.filter(({ id }) => !isOld(at(id).end)))
      atMost(`keeps ${component.id} for ${user.id}`, at(user.id).end - made, component.keeps);
  }
  return [...found, ...crowded(of, times, since)];
}

/** Hands and near slots of which more were taken at once than there are. */
function crowded({ kitchen, components }: Workload, times: Times, since: number): string[] {
  const steps = components.flatMap((component) => component.steps);
  return (['busy', 'near'] as const).flatMap((hands) => {
    const spans = steps.filter((step) => step.hands === hands).flatMap(({ id }) => times.get(id) ?? []);
    const limit = hands === 'busy' ? kitchen.cooks : kitchen.near;
    return spans
      .filter(
        ({ start }) =>
          start * 1000 > since &&
          spans.filter((other) => other.start <= start && start < other.end).length > limit,
      )
      .map(({ start }) => `more than ${limit} ${hands} at ${start}`);
  });
}
