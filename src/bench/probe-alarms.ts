import { silentFrom, whatHelps, type Help, type ProbeFault } from '../heat/index.ts';
import type { StepId } from '../plan/index.ts';
import {
  earlier,
  formatTemperature,
  later,
  plus,
  roughly,
  secondsBetween,
  seconds,
  temperatureOf,
  wallClock,
  type EpochMs,
} from '../units/index.ts';
import { priorityOf } from './alarm-table.ts';
import type { WantedAlarm } from './alarms.ts';
import { bodiesIn, type Body } from './bodies.ts';
import { called, componentRun, lookup, must, planned, runsOf, type Placed } from './lookup.ts';
import { probeCalled } from './readings.ts';
import type { BenchState, Projection, StepRun } from './state.ts';
import { probesIn, readGoals, triggerState } from './triggers.ts';
import type { Watch } from './watch.ts';

type Running = Extract<StepRun, { state: 'running' }>;
type Expected = Extract<Body['prediction'], { kind: 'expected' }>;

/** A probe that cannot be believed for so long is no flicker any more. */
const DOUBTED_S = 60;
/** A body that is later than wanted by less than this is not worth a word; once told, it is until it is in time again. */
const LATE_S = 180;

/** Probes that running steps wait for and that say nothing to be believed, and bodies that will not be there in time. */
export function probeAlarms(
  state: BenchState,
  _projection: Projection,
  watch: Watch,
): readonly WantedAlarm[] {
  const { placed } = lookup(state.setup.workload);
  return [...runsOf(state).values()].flatMap((run) => {
    if (run.state !== 'running') return [];
    const here = must(placed, run.step);
    return [...faulty(state, here, run, watch), ...tooSlow(state, here, run)];
  });
}

const FAULT_WORDS: Readonly<Record<ProbeFault, string>> = {
  'out of range': 'reads what it cannot read',
  jumping: 'jumps about',
  frozen: 'stands still at one figure',
  silent: 'has fallen silent',
};

function faulty(state: BenchState, placed: Placed, running: Running, watch: Watch): WantedAlarm[] {
  const { until } = placed.step;
  if (!until || triggerState(until, running.met) === 'met') return [];
  const { attempt } = componentRun(state, placed.component.id);
  return [...new Set(readGoals(until).flatMap(probesIn))].flatMap((name) => {
    const fault = faultOf(state, name, running.startedAt, watch);
    if (!fault) return [];
    return [
      {
        key: `probe ${name} ${placed.step.id}#${attempt}`,
        kind: 'probe',
        component: placed.component.id,
        cause: `the probe ${name} ${FAULT_WORDS[fault]}, and ${called(placed)} waits for it`,
        consequence: 'it would not be seen when it is there',
        action: `look at the probe; until it is right, read another one by hand, or end ${placed.step.name} by eye`,
        priority: priorityOf('probe'),
      },
    ];
  });
}

/** What is wrong with a probe, once it has been for long enough. Its silence counts from when it is waited for. */
function faultOf(
  state: BenchState,
  name: string,
  waitedSince: EpochMs,
  watch: Watch,
): ProbeFault | undefined {
  const found = state.probes.find((each) => each.probe === name);
  if (!found) return undefined;
  const { track } = found;
  const probe = probeCalled(state.setup.workload, name);
  if (track.live && watch.reached(later(silentFrom(track, probe), plus(waitedSince, probe.stale))))
    return 'silent';
  const { fault } = track;
  return fault && watch.reached(plus(fault.since, DOUBTED_S)) ? fault.kind : undefined;
}

/** The middle between the soonest and the usual moment of a prediction: three chances in four are that it is later. */
const quarter = ({ low, usual }: Expected): EpochMs => plus(low, secondsBetween(low, usual) / 2);

/** A body that will hardly be there when it is wanted. */
function tooSlow(state: BenchState, placed: Placed, running: Running): WantedAlarm[] {
  const wanted = wantedAt(state, placed);
  if (wanted === undefined) return [];
  const { attempt } = componentRun(state, placed.component.id);
  return bodiesIn(state, placed, running).flatMap((body): WantedAlarm[] => {
    const { prediction } = body;
    if (prediction.kind === 'reached') return [];
    const key = `not there in time ${body.probe} ${placed.step.id}#${attempt}`;
    const stands = state.alarms.some((alarm) => alarm.key === key && alarm.state !== 'returned');
    const soonest = soonestOf(state, body, running, wanted, stands);
    if (soonest === undefined) return [];
    if (!stands && secondsBetween(wanted, soonest) <= LATE_S) return [];
    return [slowAlarm(state, placed, running, body, soonest, wanted, key)];
  });
}

/**
 * When a body may be there, if that is late; nothing where nothing speaks for it. One that was told as late is so until it is more
 * likely than not that it is in time: what is predicted of it comes and goes.
 */
function soonestOf(
  state: BenchState,
  body: Body,
  running: Running,
  wanted: EpochMs,
  stands: boolean,
): EpochMs | undefined {
  const { prediction } = body;
  if (prediction.kind !== 'expected') {
    return atItsPace(state, body, running, wanted) ?? (stands ? later(wanted, body.readAt) : undefined);
  }
  if (stands) return prediction.usual > wanted ? prediction.usual : undefined;
  return quarter(prediction);
}

/** A pace is taken over so long at least, and believed to be so much faster than it seems. */
const PACE_S = 900;
const PACE_DOUBT = 1.25;

/**
 * When a body of which nothing can be predicted would be there if it went on as fast as in the last quarter of an hour. A body
 * slows down as it nears what it stands in, so it cannot be much sooner. Only once half of the time there was is over: a deep
 * dish begins slowly.
 */
function atItsPace(
  state: BenchState,
  { probe, edge, reading, readAt, isFalling }: Body,
  { startedAt }: Running,
  wanted: EpochMs,
): EpochMs | undefined {
  if (secondsBetween(startedAt, readAt) < secondsBetween(readAt, wanted)) return undefined;
  const samples = state.probes.find((each) => each.probe === probe)?.track.samples ?? [];
  const from = samples.findLast(({ at }) => at >= startedAt && secondsBetween(at, readAt) >= PACE_S);
  if (!from) return undefined;
  const went =
    (isFalling ? from.celsius - reading : reading - from.celsius) / secondsBetween(from.at, readAt);
  const toGo = Math.abs(reading - edge);
  return plus(readAt, toGo / Math.max(went * PACE_DOUBT, LEAST_PACE));
}
/** What hardly changes any more is reckoned to change by a degree in six hours. */
const LEAST_PACE = 1 / (6 * 3600);

/** When the next step, or the first step of another component that needs it, is to begin by the timetable. */
function wantedAt(state: BenchState, { step, next }: Placed): EpochMs | undefined {
  const { placed } = lookup(state.setup.workload);
  const told = planned(state.timetable).steps;
  const runs = runsOf(state);
  const users: StepId[] = [...placed.values()]
    .filter((other) => other.step.needs.includes(step.id))
    .map((other) => other.step.id);
  const moments = [...(next ? [next.id] : []), ...users]
    .filter((id) => must(runs, id).state === 'waiting')
    .map((id) => must(told, id).start);
  return moments.length === 0 ? undefined : moments.reduce(earlier);
}

function slowAlarm(
  state: BenchState,
  placed: Placed,
  running: Running,
  body: Body,
  soonest: EpochMs,
  wanted: EpochMs,
  key: string,
): WantedAlarm {
  const clock = (at: EpochMs): string => wallClock(at, state.setup.workload.kitchen.timeZone);
  const { prediction } = body;
  const isExpected = prediction.kind === 'expected';
  const goal = formatTemperature(temperatureOf(Math.round(body.edge * 10) / 10, 'C'));
  const usual = isExpected ? prediction.usual : soonest;
  const when = isExpected
    ? `between ${clock(prediction.low)} and ${clock(prediction.high)}`
    : `at ${clock(soonest)} at the soonest`;
  const took = secondsBetween(running.startedAt, usual);
  const still = standsSince(state, body);
  const stands = still === undefined ? '' : `; it has read the same since ${clock(still)}`;
  const look = still === undefined ? '' : 'see that its probe still reads; ';
  return {
    key,
    kind: 'not there in time',
    component: placed.component.id,
    cause: `${called(placed)} will be at ${goal} ${when}, and is wanted at ${clock(wanted)}${stands}`,
    consequence: `what needs it waits; to be there in time it had to begin by ${clock(plus(wanted, 0 - took))}`,
    action: look + whatToDo(placed, body, usual),
    by: wanted,
    priority: priorityOf('not there in time'),
  };
}

/** So many readings alike over so long are worth a word; whether the probe or the body stands still nobody can tell yet. */
const ALIKE = 6;
const ALIKE_S = 300;

function standsSince({ probes }: BenchState, { probe, readAt }: Body): EpochMs | undefined {
  const still = probes.find((each) => each.probe === probe)?.track.still;
  const isLong = still && still.count >= ALIKE && secondsBetween(still.since, readAt) >= ALIKE_S;
  return isLong ? still.since : undefined;
}

const HELP_WORDS: Readonly<Record<Help['what'], string>> = {
  'half as deep': 'spread it half as deep',
  'in an ice bath': 'set it in an ice bath',
  'stirred now and then': 'stir it now and then',
};
/** What stands in something as cold as this on purpose stands in ice. */
const ICE_C = 2;

/** What would get a body there sooner, the most effective first, with what the first of them would make of the time to go. */
function whatToDo({ component, step }: Placed, body: Body, usual: EpochMs): string {
  const wait = 'hold back what needs it';
  if (!body.isFalling) return `warm it, or ${wait}`;
  const isOnIce = step.around !== undefined && step.around <= ICE_C;
  const helps = whatHelps(component.depth, isOnIce ? 'ice bath' : 'still air');
  const [best] = helps;
  if (!best) return wait;
  const left = secondsBetween(body.readAt, usual);
  const words = helps.map(({ what }) => HELP_WORDS[what]).join(', or ');
  return `${words}: the first makes some ${roughly(seconds(left * best.share))} of ${roughly(left)}; or ${wait}`;
}
