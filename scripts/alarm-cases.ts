import { soundPlans } from '../src/cli/prepare.ts';
import type { RunSetup } from '../src/bench/index.ts';
import { usualProbe } from '../src/heat/index.ts';
import type { Kitchen, Step, StepId, Workload } from '../src/plan/index.ts';
import { planTimetable, replan } from '../src/planner/index.ts';
import {
  LIFELIKE,
  rehearseToEnd,
  type Fault,
  type RangAlarm,
  type RehearsalEnd,
} from '../src/rehearsal/index.ts';
import { epochMs, minutes, plus, secondsBetween, type EpochMs } from '../src/units/index.ts';

/*
 * Single rehearsals for `bench:alarms` and its small brother in the tests: what rang, how often, and, where something was
 * made to go wrong, whether that was told in time to do something about it.
 */

export const TROUBLES = [
  'start forgotten',
  'knob forgotten',
  'cream late',
  'probe silent',
  'probe frozen',
  'probe jumping',
  'door opened early',
  'oven 40 C low',
] as const;
export type TroubleKind = (typeof TROUBLES)[number];

export interface CaseReport {
  readonly plan: string;
  readonly trouble: TroubleKind | undefined;
  readonly seed: number;
  /** Minutes from the beginning to service, and those of them in stretches of ten in which somebody did something. */
  readonly minutes: number;
  readonly busyMinutes: number;
  readonly alarms: number;
  readonly high: number;
  readonly kinds: Readonly<Record<string, number>>;
  readonly mostInTen: number;
  readonly withoutAction: number;
  readonly repeated: number;
  readonly served: boolean;
  /** Of a trouble: `early` where it was told in time, `came to nothing`, or in words by how much it was not. */
  readonly told?: string;
}

/** 2027-03-05, a Friday, 07:00 UTC. */
const FRIDAY_7 = epochMs(Date.UTC(2027, 2, 5, 7));
/** What a cook can still do something in, s. */
const TO_ACT_S = 120;
/** What has only to be started can be in so long; and when it was due is known to 20 s. */
const TO_START_S = 30;
/** What is sudden is told within, s. */
const SUDDEN_S = 60;
const FORGOTTEN = minutes(25);

const setups = new Map<string, RunSetup>();

function setupOf(plan: string): RunSetup {
  const known = setups.get(plan);
  if (known) return known;
  const workload = withAirProbes(soundPlans([plan], {}, () => undefined));
  const result = planTimetable(workload, { service: { kind: 'soonest' }, now: FRIDAY_7 });
  if (!('timetable' in result)) throw new Error(`no timetable for ${plan}: ${result.status}`);
  const { timetable } = result;
  const first = [...timetable.steps.map(({ start }) => start), ...timetable.settings.map(({ at }) => at)];
  const made = { run: 'bench', workload, timetable, begunAt: epochMs(Math.min(...first)) };
  setups.set(plan, made);
  return made;
}

/** Every oven with a probe in its air: where a kitchen has none, one is hung there. */
function withAirProbes(workload: Workload): Workload {
  const { kitchen } = workload;
  const probes = [...(kitchen.probes ?? [])];
  for (const { name } of kitchen.ovens) {
    if (probes.some(({ oven }) => oven === name)) continue;
    probes.push({ ...usualProbe(`${name} air`), oven: name });
  }
  const more: Kitchen = { ...kitchen, probes };
  return { ...workload, kitchen: more };
}

/** What is made to go wrong, and when that does its harm. */
interface Trouble {
  readonly fault: Fault;
  readonly judge: (end: RehearsalEnd) => NonNullable<CaseReport['told']>;
}

export function alarmCase(plan: string, kind: TroubleKind | undefined, seed: number): CaseReport {
  const setup = setupOf(plan);
  const trouble = kind && troubleOf(kind, setup, seed);
  const end = rehearseToEnd(setup, seed, trouble ? { faults: [trouble.fault] } : { replan, life: LIFELIKE });
  const told = kind && (trouble ? trouble.judge(end) : 'came to nothing');
  return { plan, trouble: kind, seed, ...countsOf(setup, end), ...(told === undefined ? {} : { told }) };
}

function countsOf(setup: RunSetup, { state, rang, events, ended }: RehearsalEnd) {
  const busy = new Set(
    events
      .filter(({ kind }) => kind !== 'reading' && kind !== 'clock')
      .map(({ time }) => Math.floor(time / 600_000)),
  );
  const kinds: Record<string, number> = {};
  for (const { kind } of rang) kinds[kind] = (kinds[kind] ?? 0) + 1;
  return {
    minutes: secondsBetween(setup.begunAt, state.time) / 60,
    busyMinutes: busy.size * 10,
    alarms: rang.length,
    high: rang.filter(({ priority }) => priority === 'high').length,
    kinds,
    mostInTen: Math.max(
      0,
      ...rang.map((first) => rang.filter(({ at }) => at >= first.at && at < first.at + 600_000).length),
    ),
    withoutAction: rang.filter(({ action }) => action === '').length,
    repeated: rang.filter((alarm, index) =>
      rang.slice(0, index).some((old) => old.key === alarm.key && alarm.at - old.at < 60_000),
    ).length,
    served: ended === 'served',
  };
}

const stepsOf = ({ workload }: RunSetup): readonly Step[] =>
  workload.components.flatMap(({ steps }) => steps);
const pick = <T>(list: readonly T[], seed: number): T | undefined => list[seed % Math.max(1, list.length)];

function troubleOf(kind: TroubleKind, setup: RunSetup, seed: number): Trouble | undefined {
  switch (kind) {
    case 'start forgotten':
      return startForgotten(setup, seed);
    case 'knob forgotten':
      return knobForgotten(setup, seed);
    case 'cream late':
      return creamLate(setup, seed);
    case 'probe silent':
      return probeOff(setup, seed, 'silent');
    case 'probe frozen':
      return probeOff(setup, seed, 'frozen');
    case 'probe jumping':
      return probeOff(setup, seed, 'jumping');
    case 'door opened early':
      return doorOpened(setup, seed);
    case 'oven 40 C low':
      return ovenLow(setup, seed);
  }
}

const runIn = ({ state }: RehearsalEnd, step: StepId) =>
  state.components.flatMap(({ steps }) => steps).find((run) => run.step === step);

const startedAt = (end: RehearsalEnd, step: StepId): EpochMs | undefined => {
  const run = runIn(end, step);
  return run && 'startedAt' in run ? run.startedAt : undefined;
};

/** The first alarm of a component from a moment on, of some kinds. */
function firstOf(rang: readonly RangAlarm[], from: EpochMs, kinds: readonly string[], component?: string) {
  return rang.find(
    (alarm) =>
      alarm.at >= from &&
      kinds.includes(alarm.kind) &&
      (component === undefined || alarm.component === component),
  );
}

/** `early`, or by how much not. */
function early(alarm: RangAlarm | undefined, by: EpochMs): string {
  if (!alarm) return 'nothing rang';
  return alarm.at <= by ? 'early' : `${alarm.kind} ${Math.round((alarm.at - by) / 1000)} s too late`;
}

function startForgotten(setup: RunSetup, seed: number): Trouble | undefined {
  const step = pick(
    stepsOf(setup).filter(({ length, oven }) => length.kind !== 'rest' || oven !== undefined),
    seed,
  );
  if (!step) return undefined;
  return {
    fault: { kind: 'forgets', step: step.id, by: FORGOTTEN },
    judge(end) {
      const began = startedAt(end, step.id);
      if (began === undefined) return 'came to nothing';
      const due = plus(began, -(FORGOTTEN + 20));
      // It is not the forgetting that counts but what it spoils: what may not wait, or else the minutes themselves.
      const harm = step.within === undefined ? plus(due, 600) : plus(due, Math.min(600, step.within));
      const isSudden = step.within !== undefined && step.within < 2 * TO_ACT_S;
      const by = plus(harm, isSudden ? 30 + SUDDEN_S : -TO_START_S);
      const planned = setup.timetable.steps.find((each) => each.step === step.id)?.start ?? due;
      const from = plus(planned < due ? planned : due, -60);
      const own = ['not started', 'waits', 'waited too long', 'not there in time', 'keeps'];
      const all = ['late for service', 'hands clash', 'oven clash'];
      const first = end.rang.find(
        ({ at, kind, component }) =>
          at >= from && (all.includes(kind) || (own.includes(kind) && component === step.component)),
      );
      return early(first, by);
    },
  };
}

function knobForgotten(setup: RunSetup, seed: number): Trouble | undefined {
  const heats = setup.timetable.settings.filter(({ heat }) => heat.kind === 'at');
  const setting = pick(heats, seed);
  if (!setting) return undefined;
  const follows = stepsOf(setup).find(({ id }) => id === setting.step);
  if (!follows) return undefined;
  return {
    fault: { kind: 'knob forgotten', oven: setting.oven, by: FORGOTTEN },
    judge(end) {
      const first = heats[0];
      if (!first) return 'came to nothing';
      const hot = first.hotBy > first.at ? first.hotBy : plus(first.at, 600);
      return early(
        firstOf(end.rang, plus(first.at, -60), ['oven not hot', 'not started', 'waits', 'late for service']),
        hot,
      );
    },
  };
}

function creamLate(setup: RunSetup, seed: number): Trouble | undefined {
  const cold = stepsOf(setup).filter(
    ({ until, uses, length }) =>
      until?.kind === 'probe' &&
      until.goal.kind === 'falls to' &&
      until.goal.to.celsius > 0 &&
      (length.kind === 'rest' || length.kind === 'takes') &&
      uses.length > 0,
  );
  const step = pick(cold, seed);
  if (!step) return undefined;
  const planned = setup.timetable.steps.find((each) => each.step === step.id);
  const users = stepsOf(setup).filter(({ needs }) => needs.includes(step.id));
  const own = setup.workload.components.find(({ id }) => id === step.component)?.steps ?? [];
  const next = own[own.indexOf(step) + 1];
  const wanted = setup.timetable.steps
    .filter((each) => [...users, ...(next ? [next] : [])].some(({ id }) => id === each.step))
    .map(({ start }) => start);
  if (!planned || wanted.length === 0) return undefined;
  const by = epochMs(Math.min(...wanted));
  const drawn = step.length.kind === 'rest' ? step.length.atLeast * 0.85 : step.length.range.usual;
  const factor = (secondsBetween(planned.start, by) + 2400) / drawn;
  return {
    fault: { kind: 'late', step: step.id, factor },
    judge(end) {
      const began = startedAt(end, step.id);
      if (began === undefined) return 'came to nothing';
      const kinds = ['not there in time', 'cooling', 'cooling limit passed', 'late for service', 'runs over'];
      // Where the step itself is late, so is what is wanted of it.
      const shift = Math.max(0, secondsBetween(planned.start, began));
      return early(firstOf(end.rang, began, kinds), plus(by, shift - TO_ACT_S));
    },
  };
}

function probeOff(setup: RunSetup, seed: number, how: 'silent' | 'frozen' | 'jumping'): Trouble | undefined {
  const waiting = stepsOf(setup).flatMap((step) =>
    step.until?.kind === 'probe' ? [{ step, probe: step.until.probe }] : [],
  );
  const found = pick(waiting, seed);
  if (!found) return undefined;
  const { step, probe } = found;
  return {
    fault: { kind: 'probe off', probe, during: step.id, how },
    judge(end) {
      const run = runIn(end, step.id);
      if (run?.state !== 'ended') return 'came to nothing';
      // The step was ended by eye a little after it was done; from half-way on the probe was off.
      const length = (secondsBetween(run.startedAt, run.endedAt) - 60) / 1.1;
      const off = plus(run.startedAt, length / 2);
      const isFrozenWell = how === 'frozen' && length < 900;
      if (run.by !== 'cook' || isFrozenWell) return 'came to nothing';
      // One that stands still near its goal may as well be cold already: that it will not be there in time tells of it too.
      const kinds = how === 'frozen' ? ['probe', 'not there in time'] : ['probe'];
      const heard = firstOf(end.rang, off, kinds, step.component);
      return early(heard, plus(off, Math.max(600, length / 3)));
    },
  };
}

function doorOpened(setup: RunSetup, seed: number): Trouble | undefined {
  const shut = setup.timetable.steps.filter(({ step, oven }) => {
    const demand = stepsOf(setup).find(({ id }) => id === step)?.oven;
    return oven !== undefined && demand?.door === 'shut' && demand.heat.kind === 'at';
  });
  const planned = pick(shut, seed);
  if (!planned || planned.oven === undefined) return undefined;
  const { oven } = planned;
  const at = plus(planned.start, secondsBetween(planned.start, planned.end) / 2);
  return {
    fault: { kind: 'door opened early', oven, at },
    judge(end) {
      const opened = end.state.ovens.find((each) => each.oven === oven)?.earlyOpenings[0];
      if (opened === undefined) return 'came to nothing';
      return early(firstOf(end.rang, opened, ['door opened early']), plus(opened, SUDDEN_S));
    },
  };
}

function ovenLow(setup: RunSetup, seed: number): Trouble | undefined {
  const hot = setup.timetable.settings.filter(({ heat }) => heat.kind === 'at');
  const setting = pick(hot, seed);
  if (!setting) return undefined;
  return {
    fault: { kind: 'oven low', oven: setting.oven, by: 40 },
    judge(end) {
      const first = hot.find(({ oven }) => oven === setting.oven);
      const went = first && startedAt(end, first.step);
      if (!first || went === undefined) return 'came to nothing';
      // The first load is still to go in, or has just gone in.
      const by = went > first.hotBy ? went : first.hotBy;
      return early(firstOf(end.rang, first.at, ['oven off its mark', 'oven not hot']), plus(by, 300));
    },
  };
}

/** The tables over many cases. */
export function summary(reports: readonly CaseReport[]) {
  const plans = [...new Set(reports.map(({ plan }) => plan))];
  const ordinary = reports.filter(({ trouble }) => trouble === undefined);
  const rows = [...plans, undefined].map((plan) => {
    const cases = ordinary.filter((each) => plan === undefined || each.plan === plan);
    const sum = (of: (each: CaseReport) => number): number =>
      cases.reduce((total, each) => total + of(each), 0);
    const alarms = sum((each) => each.alarms);
    const kinds: Record<string, number> = {};
    for (const each of cases)
      for (const [kind, count] of Object.entries(each.kinds)) kinds[kind] = (kinds[kind] ?? 0) + count;
    return {
      plan: plan ?? 'all',
      rehearsals: cases.length,
      'alarms in 10 min': round(alarms / (sum((each) => each.minutes) / 10)),
      '... at work': round(alarms / (sum((each) => each.busyMinutes) / 10)),
      'most in 10 min': Math.max(0, ...cases.map((each) => each.mostInTen)),
      'high %': round((100 * sum((each) => each.high)) / Math.max(1, alarms)),
      'without action': sum((each) => each.withoutAction),
      'repeated in 1 min': sum((each) => each.repeated),
      'not served': sum((each) => (each.served ? 0 : 1)),
      kinds: Object.entries(kinds)
        .toSorted(([, a], [, b]) => b - a)
        .slice(0, 4)
        .map(([kind, count]) => `${kind} ${count}`)
        .join(', '),
    };
  });
  const trouble = TROUBLES.map((kind) => {
    const cases = reports.filter((each) => each.trouble === kind && each.told !== 'came to nothing');
    const inTime = cases.filter(({ told }) => told === 'early').length;
    return {
      trouble: kind,
      cases: cases.length,
      early: inTime,
      'early %': cases.length === 0 ? undefined : round((100 * inTime) / cases.length),
    };
  });
  const missed = reports
    .filter(({ trouble: kind, told }) => kind !== undefined && told !== 'early' && told !== 'came to nothing')
    .slice(0, 20)
    .map(({ plan, trouble: kind, seed, told }) => `${plan}, ${kind}, seed ${seed}: ${told}`);
  return { ordinary: rows, trouble, missed };
}

const round = (value: number): number => Math.round(value * 100) / 100;
