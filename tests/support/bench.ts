import {
  answer,
  apply,
  begin,
  type BenchEvent,
  type BenchState,
  type Effect,
  type Happening,
  type RunSetup,
  type Source,
} from '../../src/bench/index.ts';
import type { EpochMs } from '../../src/units/index.ts';
import { at } from './plans.ts';

/** A run in a test: times are clocks of the test day (`13:05`), and everything that rang is kept. */
export class TestRun {
  state: BenchState;
  readonly events: BenchEvent[] = [];
  readonly rang: Extract<Effect, { kind: 'ring' }>[] = [];

  constructor(setup: RunSetup) {
    this.state = begin(setup);
  }

  /** Time comes to a moment. */
  clock(time: string | EpochMs): this {
    return this.do(time, { kind: 'clock' }, 'clock');
  }

  /** Something happens; a refusal fails the test. */
  do(time: string | EpochMs, happening: Happening, source: Source = 'cook'): this {
    const refusal = this.try(time, happening, source);
    if (refusal !== undefined) throw new Error(`refused: ${refusal}`);
    return this;
  }

  /** Something happens, or why it is refused. */
  try(time: string | EpochMs, happening: Happening, source: Source = 'cook'): string | undefined {
    const moment = typeof time === 'string' ? at(time) : time;
    const event: BenchEvent = { id: `e${this.events.length + 1}`, time: moment, source, ...happening };
    const outcome = apply(this.state, event);
    if (!outcome.ok) return outcome.why;
    this.events.push(event);
    this.state = outcome.state;
    this.rang.push(...outcome.effects.filter((effect) => effect.kind === 'ring'));
    return undefined;
  }

  /** Space: the topmost call is answered. */
  space(time: string, back?: string): this {
    const [call] = this.clock(time).state.calls;
    if (!call) throw new Error(`nothing is called at ${time}`);
    return this.do(time, answer(call, at(back ?? time)));
  }

  /** The texts of the calls that are due, and of those that are open in brackets. */
  get calls(): string[] {
    return this.state.calls.map((call) => (call.due <= this.state.time ? call.text : `(${call.text})`));
  }

  get alarms(): string[] {
    return this.state.alarms.map((alarm) => `${alarm.kind}: ${alarm.state}`);
  }

  stepState(step: string): string {
    return (
      this.state.components.flatMap((run) => run.steps).find((run) => run.step === step)?.state ?? 'none'
    );
  }
}
