import { machineClock, momentOf } from '../keeper/index.ts';
import { openRun } from '../journal/index.ts';
import { serviceOutcomes, type BenchState, type StepRun } from '../bench/index.ts';
import { endedView, endedWords } from '../view/index.ts';
import { airRecord, airRecordText, coolingRecord, coolingRecordText } from '../sheet/index.ts';
import {
  countdown,
  localDate,
  roughly,
  seconds,
  wallClock,
  type EpochMs,
  type Seconds,
} from '../units/index.ts';
import { EXIT, Stop } from './exit.ts';
import type { Out } from './out.ts';
import { benchEngineState, knownRun, runsOf, stopFor, storeOf, type StoreOptions } from './run.ts';

export interface RecordOptions extends StoreOptions {
  readonly json?: boolean;
}

interface StepRecord {
  readonly step: string;
  readonly startedAt: string;
  readonly endedAt: string;
  readonly seconds: number;
  readonly endedBy: string;
  readonly plannedSeconds: number;
}

/** `record`: what happened in a run, how long each step took beside what the plan said, and how cooling stood with the rules. */
export function record(named: string | undefined, options: RecordOptions, out: Out): void {
  const store = storeOf(options);
  const run =
    named === undefined
      ? runsOf(store).find((each) => each.state !== 'unreadable')?.run
      : knownRun(store, named);
  if (run === undefined)
    throw new Stop(EXIT.problem, 'there is no run in the store', ['begin one: thirdhand start FILE']);
  const found = openRun(store, run, { purpose: 'read', now: momentOf(machineClock()) });
  if (!found.contents) throw stopFor(found);
  const state = benchEngineState(found);
  const steps = state.components
    .flatMap((component) => component.steps)
    .flatMap((each) => stepRecord(state, each));
  if (options.json) {
    const { servedAt, log } = state;
    const iso = (at: EpochMs): string => new Date(at).toISOString();
    const service = state.timetable.service.map(iso);
    const happened = log.map(({ at, text, kind }) => ({ at: iso(at), kind, text }));
    const cooling = coolingRecord(state) ?? null;
    const onAir = airRecord(state);
    out.json({
      run,
      rehearsal: state.setup.rehearsal ?? null,
      service,
      served: serviceOutcomes(state).map(({ plan, service: at, first, servedAt: out, late }) => ({
        plan: state.setup.workload.plans[plan]?.title ?? '',
        service: iso(at),
        toldFirst: iso(first ?? at),
        servedAt: out === undefined ? null : iso(out),
        lateSeconds: late ?? null,
      })),
      servedAt: servedAt === undefined ? null : iso(servedAt),
      steps,
      cooling,
      ...(onAir ? { onAir } : {}),
      happened,
    });
    return;
  }
  out.print(recordText(run, state, steps));
}

function stepRecord(state: BenchState, run: StepRun): StepRecord[] {
  if (run.state !== 'ended') return [];
  const planned = state.timetable.steps.find((each) => each.step === run.step);
  return [
    {
      step: run.step,
      startedAt: new Date(run.startedAt).toISOString(),
      endedAt: new Date(run.endedAt).toISOString(),
      seconds: (run.endedAt - run.startedAt) / 1000,
      endedBy: run.by,
      plannedSeconds: planned ? (planned.end - planned.start) / 1000 : 0,
    },
  ];
}

function recordText(run: string, state: BenchState, steps: readonly StepRecord[]): string {
  const zone = state.setup.workload.kitchen.timeZone;
  const width = Math.max(4, ...steps.map(({ step }) => step.length));
  const difference = ({ seconds: took, plannedSeconds }: StepRecord): string => {
    const by = took - plannedSeconds;
    // A press is a matter of seconds: half a minute is nothing in a bake, and half of a stir of a minute.
    return Math.abs(by) < Math.min(30, Math.max(5, plannedSeconds / 10))
      ? 'as planned'
      : `${roughly(seconds(Math.abs(by)))} ${by > 0 ? 'longer' : 'shorter'}`;
  };
  const cooling = coolingRecordText(state);
  const onAir = airRecordText(state);
  const ended = endedView(state);
  const lessons = endedWords(ended);
  const took = (length: number): string => countdown(length as Seconds);
  return [
    `${state.setup.workload.plans.map((plan) => plan.title).join(', ')}: ${runWords(state, run)}, ${localDate(state.setup.begunAt, zone)}`,
    ...(state.setup.rundown ? [airWords(state)] : ended.services.map(({ text }) => text)),
    '',
    ...state.log.map(({ at, text }) => `${wallClock(at, zone, 'second')}  ${text}`),
    '',
    'how long it took',
    ...steps.map(
      (step) => `  ${step.step.padEnd(width)}  ${took(step.seconds).padStart(8)}  ${difference(step)}`,
    ),
    ...(lessons.length > 0 ? ['', 'what it teaches', ...lessons.map((text) => `  ${text}`)] : []),
    ...(onAir.length > 0 ? ['', ...onAir] : []),
    ...(cooling.length > 0 ? ['', ...cooling] : []),
  ].join('\n');
}

/** `run gallery-opening-1125`, and of a rehearsal that it was one. */
const runWords = ({ setup }: BenchState, run: string): string =>
  setup.rehearsal ? `rehearsal ${run} (seed ${setup.rehearsal.seed}), nothing was cooked` : `run ${run}`;

function airWords({ setup, timetable, servedAt }: BenchState): string {
  const zone = setup.workload.kitchen.timeZone;
  const clocks = timetable.service.map((at) => wallClock(at, zone)).join(', ');
  const was = `on air was to be ${setup.rundown ? wallClock(setup.rundown.begins, zone) : ''} to ${clocks}`;
  return `${was}; ${servedAt === undefined ? 'not ended yet' : `ended at ${wallClock(servedAt, zone)}`}`;
}
