import {
  answer,
  apply,
  begin,
  nextDeadline,
  type BenchState,
  type Happening,
  type RunSetup,
} from '../../src/bench/index.ts';
import type { Step, StepId, Workload } from '../../src/plan/index.ts';
import { later, plus, type EpochMs } from '../../src/units/index.ts';

/** How things go in an obedient kitchen. */
export interface Fate {
  /** How long a step truly takes, s; of a rest, its least. */
  readonly length: (step: Step) => number;
  /** How late an answer is, s: to a call, or to the end of a step. */
  readonly delay: (about: string) => number;
}

/**
 * Plays a run with a cook who does nothing but answer: every call so much after it is due, and what is over so much after that,
 * whatever else is going on.
 * @returns the run as it was served, or as it stood when nothing was left to answer.
 */
export function obey(setup: RunSetup, { length, delay }: Fate): BenchState {
  const steps = new Map<StepId, Step>(
    setup.workload.components.flatMap((component) => component.steps.map((step) => [step.id, step])),
  );
  let state = begin(setup);
  let now = setup.begunAt;
  for (let count = 0; count < 2000 && state.servedAt === undefined; count += 1) {
    const act = nextAct(state);
    const deadline = nextDeadline(state);
    const isClock = deadline !== undefined && (!act || deadline <= act.at);
    if (!isClock && !act) break;
    now = later(now, isClock ? deadline : (act?.at ?? now));
    const stamp = { id: `e${count}`, time: now, source: isClock ? 'clock' : 'cook' } as const;
    const happening: Happening = isClock || !act ? { kind: 'clock' } : act.happening(now);
    state = apply(state, { ...stamp, ...happening }).state;
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
 */
export function brokenIn(state: BenchState, of: Workload, longestAnswer: number): string[] {
  const times = timesOf(state);
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
        if (step.within !== undefined)
          atMost(`within ${step.id}`, wait, Math.max(step.within, step.after + longestAnswer));
        // A rest is over when it is taken.
        if (before.length.kind !== 'rest') atMost(`after ${step.id}`, step.after, wait);
      }
      if (step.length.kind === 'rest' && step.length.atMost !== undefined) {
        const { atLeast, atMost: most } = step.length;
        // It is written down as over when what follows begins, also where that has to wait.
        const wait = step.until ? 0 : (component.steps[place + 1]?.after ?? 0);
        atMost(`rest ${step.id}`, end - start, wait + Math.max(most, atLeast + 2 * longestAnswer));
      }
      for (const needed of step.needs) atMost(`${step.id} needs ${needed}`, at(needed).end, start);
    });
    const last = component.steps.at(-1);
    if (!last) continue;
    const users = of.components.flatMap(({ steps }) => steps).filter(({ needs }) => needs.includes(last.id));
    const made = at(last.id).end;
    const service = (state.timetable.service[component.plan] ?? NaN) / 1000;
    atMost(`service of ${last.id}`, made, service);
    if (component.keeps === undefined) continue;
    if (users.length === 0) atMost(`keeps ${component.id}`, service - made, component.keeps);
    for (const user of users)
      atMost(`keeps ${component.id} for ${user.id}`, at(user.id).end - made, component.keeps);
  }
  return [...found, ...crowded(of, times)];
}

/** Hands and near slots of which more were taken at once than there are. */
function crowded({ kitchen, components }: Workload, times: Times): string[] {
  const steps = components.flatMap((component) => component.steps);
  return (['busy', 'near'] as const).flatMap((hands) => {
    const spans = steps.filter((step) => step.hands === hands).flatMap(({ id }) => times.get(id) ?? []);
    const limit = hands === 'busy' ? kitchen.cooks : kitchen.near;
    return spans
      .filter(
        ({ start }) => spans.filter((other) => other.start <= start && start < other.end).length > limit,
      )
      .map(({ start }) => `more than ${limit} ${hands} at ${start}`);
  });
}
