import {
  apply,
  begin,
  serviceOutcomes,
  type Alarm,
  type BenchEvent,
  type BenchState,
  type Call,
  type ServiceOutcome,
} from '../bench/index.ts';
import type { StepId } from '../plan/index.ts';
import { later, secondsBetween, seconds, type EpochMs, type Seconds } from '../units/index.ts';
import { brokenWindows, type BrokenWindow } from './missed-windows.ts';
import type { Rehearsal } from './rehearsal.ts';
import { costOf } from './missed-cost.ts';
import { toPractise } from './practise.ts';

/*
 * What a cook missed in a run whose truth is known, because nature in it was simulated, and what it cost. It is worked out
 * from the run's events alone: the run is lived once more, and looked at before and after each of them.
 */

export interface Missed {
  readonly services: readonly ServiceOutcome[];
  /** Calls that were answered late, or not at all, in the order in which they were due. */
  readonly late: readonly LateAnswer[];
  /** Steps that were said to be done before they looked it. */
  readonly early: readonly EndedEarly[];
  readonly windows: readonly BrokenWindow[];
  readonly alarms: readonly AlarmAnswer[];
  /** Doors that were opened while they had to stay shut. */
  readonly doors: readonly EarlyDoor[];
  /** Steps that were left out, by the cook's word. */
  readonly leftOut: readonly StepId[];
  /** One thing to practise, in a sentence. */
  readonly practise: string;
}

export interface LateAnswer {
  readonly call: string;
  readonly asks: Call['asks']['kind'];
  readonly due: EpochMs;
  /** Nothing where it was never answered. */
  readonly answeredAt?: EpochMs;
  readonly late: Seconds;
  /** By how much later everything is ready because of it; nothing where that cannot be known. See {@link costOf}. */
  readonly cost?: Seconds;
}

export interface EndedEarly {
  readonly step: StepId;
  readonly at: EpochMs;
  readonly by: Seconds;
}

export interface AlarmAnswer extends Pick<Alarm, 'key' | 'kind' | 'cause' | 'priority'> {
  readonly raisedAt: EpochMs;
  /** How it was answered first: `done` what it asked for, or something like it; `gone` by itself; `standing` at the end, unheard. */
  readonly how: 'heard' | 'set aside' | 'done' | 'gone' | 'standing';
  /** How long after it was raised. */
  readonly after: Seconds;
}

export interface EarlyDoor {
  readonly oven: string;
  readonly at: EpochMs;
  /** How much longer it had to stay shut. */
  readonly by: Seconds;
}

/** Whoever answers a call within so long has not missed it. */
const PROMPT_S = 60;
/** A step that was ended so little before it looked done was ended in time. */
const NEAR_S = 5;

/** The cost of so many late answers is worked out, the latest first: each is two rehearsals. */
const MOST_COSTS = 8;

/**
 * What was missed in a run, as far as it has come.
 *
 * @param truth the kitchen as it really was at a moment, with a prompt cook in it: what that one would have seen and done.
 */
export function missedIn(state: BenchState, truth: (at: EpochMs) => Rehearsal): Missed {
  const { setup, history } = state;
  const seen = new Notes();
  let before = begin(setup);
  for (const event of history) {
    const outcome = apply(before, event);
    if (outcome.ok) {
      seen.note(before, event, outcome.state, truth(event.time));
      before = outcome.state;
    }
  }
  const found = {
    services: serviceOutcomes(state),
    late: seen.lateIn(state, truth),
    early: [...seen.early.values()],
    windows: brokenWindows(state),
    alarms: seen.alarmsIn(state),
    doors: seen.doors,
    leftOut: state.components.flatMap(({ steps }) =>
      steps.flatMap((run) => (run.state === 'skipped' ? [run.step] : [])),
    ),
  };
  return { ...found, practise: toPractise(found, state) };
}

/** A late answer, and how the run stood after it. */
interface Late {
  readonly call: Call;
  readonly due: EpochMs;
  readonly answeredAt?: EpochMs;
  readonly late: Seconds;
  readonly after: BenchState;
}

/** What is gathered on the way, by the keys of calls, alarms and steps. What is taken back is done anew. */
class Notes {
  readonly early = new Map<StepId, EndedEarly>();
  readonly doors: EarlyDoor[] = [];
  readonly #since = new Map<string, EpochMs>();
  readonly #late = new Map<string, Late>();
  readonly #alarms: AlarmAnswer[] = [];
  readonly #standing = new Map<string, EpochMs>();
  /** Every state so far, in order. */
  readonly #states: BenchState[] = [];

  note(before: BenchState, event: BenchEvent, after: BenchState, truth: Rehearsal): void {
    this.#states.push(before);
    for (const call of after.calls) {
      if (!this.#since.has(call.key)) this.#since.set(call.key, event.time);
      this.#late.delete(call.key);
    }
    if (isAct(event)) this.#act(before, event, after, truth);
    this.#doors(before, event, after);
    this.#alarmsOf(before, event, after);
  }

  /** Late answers, and what is called since long and was not answered, each with what it cost. */
  lateIn(state: BenchState, truth: (at: EpochMs) => Rehearsal): readonly LateAnswer[] {
    const open = state.servedAt === undefined ? state.calls : [];
    const never = open.flatMap((call): Late[] => {
      const due = later(this.#dueOf(call), isDoneAt(call, state, truth(state.time)));
      const late = secondsBetween(due, state.time);
      return late < PROMPT_S ? [] : [{ call, due, late, after: state }];
    });
    const all = [...this.#late.values(), ...never].toSorted((a, b) => b.late - a.late);
    return all
      .map(({ call, due, answeredAt, late, after }, index): LateAnswer => {
        const cost =
          index < MOST_COSTS ? costOf(this.#stateAt(due), call, due, after, truth(after.time)) : undefined;
        return {
          call: call.text,
          asks: call.asks.kind,
          due,
          ...(answeredAt === undefined ? {} : { answeredAt }),
          late,
          ...(cost === undefined ? {} : { cost }),
        };
      })
      .toSorted((a, b) => a.due - b.due);
  }

  alarmsIn({ time }: BenchState): readonly AlarmAnswer[] {
    const standing = this.#alarms.map((alarm): AlarmAnswer =>
      this.#standing.has(alarm.key) && alarm.how === 'standing'
        ? { ...alarm, after: secondsBetween(alarm.raisedAt, time) }
        : alarm,
    );
    return standing.toSorted((a, b) => a.raisedAt - b.raisedAt);
  }

  /** A call that is held back, while hands or oven are taken, is not late yet. */
  #dueOf(call: Call): EpochMs {
    return later(call.due, this.#since.get(call.key) ?? call.due);
  }

  /** How the run stood at a moment. */
  #stateAt(moment: EpochMs): BenchState {
    const state = this.#states.findLast(({ time }) => time <= moment) ?? this.#states[0];
    if (!state) throw new Error('nothing has happened');
    return state;
  }

  #act(before: BenchState, event: BenchEvent, after: BenchState, truth: Rehearsal): void {
    const standing = new Set(after.calls.map(({ key }) => key));
    for (const call of before.calls) {
      if (standing.has(call.key) || !isAnswer(event, call)) continue;
      const due = later(this.#dueOf(call), isDoneAt(call, before, truth));
      const answeredAt = 'at' in event ? event.at : event.time;
      const late = secondsBetween(due, answeredAt);
      if (late < PROMPT_S) continue;
      this.#late.set(call.key, { call, due, answeredAt, late, after });
    }
    if (event.kind === 'undo')
      for (const step of this.early.keys()) if (isOpen(after, step)) this.early.delete(step);
    if (event.kind !== 'done') return;
    const at = truth.looksDoneAt(before, event.step);
    const by = at === undefined ? 0 : secondsBetween(event.at, at);
    if (by > NEAR_S) this.early.set(event.step, { step: event.step, at: event.at, by: seconds(by) });
  }

  #doors(before: BenchState, event: BenchEvent, after: BenchState): void {
    for (const [index, oven] of after.ovens.entries()) {
      const was = before.ovens[index];
      const locked = was?.lockedUntil?.at;
      if (!was || locked === undefined || oven.earlyOpenings.length <= was.earlyOpenings.length) continue;
      this.doors.push({ oven: oven.oven, at: event.time, by: secondsBetween(event.time, locked) });
    }
  }

  #alarmsOf(before: BenchState, event: BenchEvent, after: BenchState): void {
    const gone = isAct(event) ? 'done' : 'gone';
    const now = new Map(after.alarms.map((alarm) => [alarm.key, alarm]));
    for (const alarm of after.alarms) {
      const { key, kind, cause, priority, raisedAt } = alarm;
      if (!this.#standing.has(key)) {
        this.#standing.set(key, raisedAt);
        this.#alarms.push({ key, kind, cause, priority, raisedAt, how: 'standing', after: seconds(0) });
      }
      if (alarm.state === 'heard') this.#answered(key, 'heard', event.time);
      if (alarm.state === 'returned') this.#answered(key, gone, alarm.returnedAt ?? event.time);
    }
    for (const { key } of before.alarms) {
      if (now.has(key)) continue;
      this.#answered(key, after.shelved.some((each) => each.key === key) ? 'set aside' : gone, event.time);
      this.#standing.delete(key);
    }
  }

  /** Only the first answer to a raising counts. */
  #answered(key: string, how: AlarmAnswer['how'], at: EpochMs): void {
    const index = this.#alarms.findLastIndex((alarm) => alarm.key === key);
    const alarm = this.#alarms[index];
    if (!alarm || alarm.how !== 'standing') return;
    this.#alarms[index] = { ...alarm, how, after: secondsBetween(alarm.raisedAt, at) };
  }
}

/** The end of a step is not to be called before it is done, by eye or by its probe. */
const isDoneAt = ({ asks, due }: Call, state: BenchState, truth: Rehearsal): EpochMs =>
  (asks.kind === 'done' ? truth.isDoneAt(state, asks.step) : undefined) ?? due;

const isAct = ({ source }: BenchEvent): boolean => source === 'cook' || source === 'rehearsal';

/** Whether an act of the cook is what a call asks for, and not something that only makes it pointless. */
function isAnswer(event: BenchEvent, { asks }: Call): boolean {
  switch (asks.kind) {
    case 'start':
      return event.kind === 'start' && event.step === asks.step;
    // What rests is ended by starting what follows it; a knob is turned with a start.
    case 'done':
      return (event.kind === 'done' && event.step === asks.step) || event.kind === 'start';
    case 'oven set':
      return (event.kind === 'oven set' && event.oven === asks.oven) || event.kind === 'start';
    case 'turn':
      return event.kind === 'turned' && event.step === asks.step;
    case 'timer done':
      return event.kind === 'timer done' && event.name === asks.name;
    case 'served':
      return event.kind === 'served';
  }
}

const isOpen = ({ components }: BenchState, step: StepId): boolean =>
  components.some(({ steps }) => steps.some((run) => run.step === step && run.state === 'running'));

/** How each plan's service went. */
