import {
  apply,
  begin,
  happeningOf,
  nextDeadline,
  progressOf,
  wantsReplan,
  type Alarm,
  type BenchEvent,
  type BenchState,
  type Outcome,
  type RunSetup,
} from '../bench/index.ts';
import type { Workload } from '../plan/index.ts';
import type { ReplanRequest, ReplanResult } from '../planner/index.ts';
import { later, seconds, secondsBetween, type EpochMs, type Seconds } from '../units/index.ts';
import { createRehearsal, type RehearsalOptions } from './rehearsal.ts';

/** How a rehearsal ended. A stuck one names its seed, so that it can be looked at again. */
export type RehearsalEnd = {
  readonly seed: number;
  readonly state: BenchState;
  readonly events: readonly BenchEvent[];
  /** Every time an alarm rang, in order. */
  readonly rang: readonly RangAlarm[];
} & (
  | {
      readonly ended: 'served';
      readonly servedAt: EpochMs;
      /** How long after its time the latest service went out; 0 when all were in time. */
      readonly late: Seconds;
    }
  | { readonly ended: 'stuck'; readonly why: string }
);

/** An alarm as it rang in a rehearsal. */
export interface RangAlarm extends Pick<Alarm, 'key' | 'kind' | 'component' | 'priority' | 'action'> {
  readonly at: EpochMs;
}

export interface ToEndOptions extends Omit<RehearsalOptions, 'workload' | 'seed'> {
  /** Events after which a rehearsal counts as stuck. Default 20,000. */
  readonly limit?: number;
  /** Works out new timetables on the way, which the cook takes if they keep service; without it there are none. */
  readonly replan?: (workload: Workload, request: ReplanRequest) => ReplanResult;
}

const LIMIT = 20_000;

/** Runs a whole rehearsal from the run's beginning to service, without a clock: time jumps from event to event. */
export function rehearseToEnd(setup: RunSetup, seed: number, options: ToEndOptions = {}): RehearsalEnd {
  const rehearsal = createRehearsal({ ...options, workload: setup.workload, seed });
  const events: BenchEvent[] = [];
  const rang: RangAlarm[] = [];
  let state = begin(setup);
  let now = setup.begunAt;
  const stuck = (why: string): RehearsalEnd => ({
    ended: 'stuck',
    why: `${why} (seed ${seed})`,
    seed,
    state,
    events,
    rang,
  });

  while (events.length < (options.limit ?? LIMIT)) {
    const event = nextEvent(state, now, `e${events.length + 1}`);
    if (!event) return stuck(`nobody has anything to do, and no deadline lies ahead: ${openSteps(state)}`);
    const outcome = apply(state, event);
    if (!outcome.ok) return stuck(`the bench refused "${event.kind}" of the simulated cook: ${outcome.why}`);
    events.push(event);
    state = outcome.state;
    rang.push(...rangIn(outcome, event.time));
    now = event.time;
    if (state.servedAt !== undefined) {
      const { servedAt, servings } = state;
      // Plans that are served at one moment go out together, so there is one serving for each different moment.
      const services = [...new Set(state.timetable.service)].toSorted((a, b) => a - b);
      const late = services.map((service, index) => secondsBetween(service, servings[index] ?? servedAt));
      return { ended: 'served', servedAt, late: seconds(Math.max(0, ...late)), seed, state, events, rang };
    }
  }
  return stuck(`no service after ${events.length} events: ${openSteps(state)}`);

  /** What the planner has to say where the bench wants a new timetable, at once: a rehearsal's clock waits for it. */
  function offer(from: BenchState, at: EpochMs, id: string): BenchEvent | undefined {
    const { replan } = options;
    const situation = replan && wantsReplan(from);
    if (!situation) return undefined;
    const result = replan(setup.workload, { progress: progressOf(from, at) });
    const stamp = { id, time: at, source: 'clock' } as const;
    const event: BenchEvent = { ...stamp, ...happeningOf(situation, result) };
    const outcome = apply(from, event);
    if (outcome.ok) return event;
    const why = outcome.why;
    return { ...stamp, kind: 'not proposed', because: situation.key, outcome: 'failed', why };
  }

  /** A deadline comes before an act at the same moment, as it does in the keeper. */
  function nextEvent(from: BenchState, at: EpochMs, id: string): BenchEvent | undefined {
    const offered = offer(from, at, id);
    if (offered) return offered;
    const act = rehearsal.nextAct(from, at);
    const deadline = nextDeadline(from);
    if (deadline !== undefined && (!act || deadline <= act.at)) {
      return { id, time: later(deadline, at), source: 'clock', kind: 'clock' };
    }
    return act && { id, time: act.at, source: act.source, ...act.happening };
  }
}

/** The alarms among what rang. */
function rangIn({ state, effects }: Extract<Outcome, { ok: true }>, at: EpochMs): RangAlarm[] {
  return effects.flatMap((effect) => {
    const alarm = effect.kind === 'ring' ? state.alarms.find(({ key }) => key === effect.key) : undefined;
    if (!alarm) return [];
    const { key, kind, component, priority, action } = alarm;
    return [{ at, key, kind, priority, action, ...(component === undefined ? {} : { component }) }];
  });
}

function openSteps(state: BenchState): string {
  const open = state.components.flatMap((component) =>
    component.steps
      .filter((run) => run.state === 'running' || run.state === 'waiting')
      .slice(0, 1)
      .map((run) => `${run.step} ${run.state}`),
  );
  return open.length > 0 ? open.join(', ') : 'every step is over';
}
