import { describeTrigger, type Step, type StepId } from '../plan/index.ts';
import { earlier, later, plus, roughly, seconds, type EpochMs } from '../units/index.ts';
import { dueStart, type Course } from './course.ts';
import type { Priority } from './events.ts';
import {
  componentRun,
  followsInOven,
  called,
  lookup,
  must,
  ovenOf,
  ovenRun,
  planned,
  runsOf,
  timerCalled,
  type Placed,
} from './lookup.ts';
import { promisedDue } from './promise.ts';
import { heatOf, heatWords, knobWords, ovenCall, settingsMissing, turnCall } from './oven-calls.ts';
import { sameHeat } from './oven-reckoning.ts';
import { isReady, nextService, titlesOf } from './service.ts';
import type { BenchState, Call, ComponentRun, OvenRun, StepRun } from './state.ts';
import { airStep, showingBefore, showingOf } from './showings.ts';
import { clockMoment, endsByClock, expectedLength, triggerState } from './triggers.ts';
import type { Watch } from './watch.ts';

/** A call as the situation asks for it, before what is remembered about it is added. */
export type WantedCall = Omit<Call, 'raised' | 'heard'>;

type Running = Extract<StepRun, { state: 'running' }>;

/** A call may be answered so long before it is due. */
const OPEN_BEFORE_S = 300;
/** A call that has to be answered within this is of medium priority. */
const PRESSING_S = 120;

/** Every call that stands at the watch's moment, those that are due first, each group the most pressing first. */
export function callsAt(state: BenchState, course: Course, watch: Watch): readonly WantedCall[] {
  const calls = [
    ...state.components.flatMap((run) => componentCalls(state, run, course, watch)),
    ...[...state.timetable.settings, ...settingsMissing(state)].flatMap((setting) =>
      ovenCall(state, setting, course, watch),
    ),
    ...state.timers.filter((timer) => watch.reached(timer.endsAt)).map(timerCall),
    ...servedCall(state, watch),
  ];
  const rank: Record<Priority, number> = { high: 0, medium: 1, low: 2 };
  const isDue = (call: WantedCall): boolean => watch.reached(call.due);
  return calls.toSorted((a, b) => {
    if (isDue(a) !== isDue(b)) return isDue(a) ? -1 : 1;
    return (
      rank[a.priority] - rank[b.priority] ||
      (a.latest?.at ?? plus(a.due, 600)) - (b.latest?.at ?? plus(b.due, 600)) ||
      a.due - b.due
    );
  });
}

function componentCalls(state: BenchState, run: ComponentRun, course: Course, watch: Watch): WantedCall[] {
  const { placed } = lookup(state.setup.workload);
  const current = run.steps.find((step) => step.state === 'running' || step.state === 'waiting');
  if (!current) return [];
  const here = must(placed, current.step);
  if (current.state === 'waiting') return startCall(state, here, run, course, watch);
  if (current.state !== 'running') return [];
  return [
    ...turnCall(state, here, current, run, watch),
    ...endCalls(state, here, current, run, course, watch),
  ];
}

function endCalls(
  state: BenchState,
  here: Placed,
  current: Running,
  run: ComponentRun,
  course: Course,
  watch: Watch,
): WantedCall[] {
  if (restEndsItself(state, here)) {
    return here.next && restIsOver(here.step, current, watch)
      ? startCall(state, must(lookup(state.setup.workload).placed, here.next.id), run, course, watch)
      : [];
  }
  return doneCall(state, here, current, run, course, watch);
}

/**
 * A rest without a trigger needs no word of its own: it is over when what comes after it is started. Nor does one that is
 * taken for a showing: on air nobody is asked whether it lifts without bending.
 */
function restEndsItself(state: Pick<BenchState, 'setup' | 'timetable'>, placed: Placed): boolean {
  const { step, next, component } = placed;
  if (step.length.kind !== 'rest') return false;
  const users = next ? [next] : (lookup(state.setup.workload).users.get(component.id) ?? []);
  if (!step.until) return users.length > 0 && !isTakenOut(state, placed, users);
  return (
    triggerState(step.until, []) === 'wants the cook' &&
    users.some(({ id }) => showingOf(state, id) !== undefined)
  );
}

/** What rests in an oven is taken out when the timetable says so, where nothing uses it yet: others may want that oven. */
function isTakenOut(
  { timetable }: Pick<BenchState, 'timetable'>,
  { step }: Placed,
  users: readonly Step[],
): boolean {
  if (!step.oven) return false;
  const { steps } = planned(timetable);
  return users.every(({ id }) => must(steps, id).start > must(steps, step.id).end);
}

const restIsOver = (step: Step, running: Running, watch: Watch): boolean =>
  watch.reached(clockMoment(step, running));

/** When a step that is still running or waiting may be taken as ended by a step that follows it, and whether it may yet. */
export function availableFrom(state: BenchState, id: StepId, watch: Watch): EpochMs | undefined {
  const run = must(runsOf(state), id);
  const placed = must(lookup(state.setup.workload).placed, id);
  if (run.state === 'ended' || run.state === 'skipped') return run.endedAt;
  if (run.state !== 'running' || !restEndsItself(state, placed) || !restIsOver(placed.step, run, watch))
    return undefined;
  return later(clockMoment(placed.step, run), must(planned(state.timetable).steps, id).end);
}

function startCall(
  state: BenchState,
  placed: Placed,
  run: ComponentRun,
  course: Course,
  watch: Watch,
): WantedCall[] {
  const { step, before } = placed;
  // It begins with the first showing.
  if (step.id === airStep(state) || showingBefore(state, step.id) !== undefined) return [];
  const sources = [...step.needs, ...(before ? [before.id] : [])];
  const ends = new Map(sources.map((id) => [id, availableFrom(state, id, watch)]));
  if ([...ends.values()].includes(undefined)) return [];
  if (handsAreTaken(state, step) || ovenIsTaken(state, placed, watch)) return [];
  const wanted = dueStart(state, placed, (id) => ends.get(id) ?? state.time, course.availableOf);
  const called = promisedDue(state, { kind: 'start', step: step.id }, wanted, watch);
  if (called === 'waits') return [];
  // The first of two that go in together takes the oven down for both.
  const isOpen = justOpened(state, placed, watch);
  const due = isOpen ? called : later(called, ovenReady(state, placed));
  if (!watch.reached(plus(due, -OPEN_BEFORE_S))) return [];
  const latest = latestStart(state, placed, before && ends.get(before.id));
  return [
    {
      key: `start ${step.id}#${run.attempt}`,
      asks: { kind: 'start', step: step.id },
      component: placed.component.id,
      text: `${placed.name}: ${step.action}${ovenWords(state, placed)}`,
      ...(step.caution === undefined ? {} : { caution: step.caution }),
      due,
      ...(latest ? { latest } : {}),
      priority: latest && latest.at - due <= PRESSING_S * 1000 ? 'medium' : 'low',
    },
  ];
}

/** The last moment at which a step can start without breaking a window, and which one that is. */
export function latestStart(
  state: Pick<BenchState, 'setup' | 'components'>,
  { step, before }: Placed,
  beforeEnd: EpochMs | undefined,
): { at: EpochMs; breaks: string } | undefined {
  const limits: { at: EpochMs; breaks: string }[] = [];
  if (before && beforeEnd !== undefined && step.within !== undefined) {
    limits.push({
      at: plus(beforeEnd, step.within),
      breaks:
        step.within === 0
          ? `it follows ${before.name} at once`
          : `it may wait ${roughly(step.within)} after ${before.name}`,
    });
  }
  for (const needed of step.needs) {
    const { component, name, next } = must(lookup(state.setup.workload).placed, needed);
    const finishedAt = componentRun(state, component.id).finishedAt;
    if (component.keeps === undefined || next || finishedAt === undefined) continue;
    const at = plus(finishedAt, component.keeps - expectedLength(step).usual);
    limits.push({ at, breaks: `${name} keeps ${roughly(component.keeps)}` });
  }
  return limits.toSorted((a, b) => a.at - b.at)[0];
}

function handsAreTaken(state: BenchState, step: Step): boolean {
  if (step.hands !== 'busy') return false;
  const { placed } = lookup(state.setup.workload);
  const busy = [...runsOf(state).values()].filter(
    (run) => run.state === 'running' && must(placed, run.step).step.hands === 'busy',
  );
  return busy.length >= state.setup.workload.kitchen.cooks;
}

/** Whether what is in the oven now keeps this load out: another temperature, a door that must stay shut, no shelf. */
function ovenIsTaken(state: BenchState, placed: Placed, watch: Watch): boolean {
  const oven = ovenOf(state, placed.step);
  const mine = placed.step.oven;
  if (oven === undefined || !mine) return false;
  const lookedUp = lookup(state.setup.workload);
  const model = must(lookedUp.ovens, oven);
  let shelves = mine.shelves;
  for (const run of runsOf(state).values()) {
    const other = must(lookedUp.placed, run.step).step;
    if (run.state !== 'running' || !other.oven || ovenOf(state, other) !== oven) continue;
    // What it takes out to begin makes room for it.
    if (other.component === placed.component.id || placed.step.needs.includes(other.id)) continue;
    shelves += other.oven.shelves;
    const bothHot = other.oven.heat.kind === 'at' && mine.heat.kind === 'at';
    const apart = bothHot && Math.abs(heatOf(other.oven.heat) - heatOf(mine.heat)) > model.tolerance;
    const locked =
      other.oven.door === 'shut' &&
      !watch.reached(plus(run.startedAt, expectedLength(other).low + run.extra));
    if (!bothHot || apart || shelves > model.shelves) return true;
    if (locked && !goInTogether(state, placed.step.id, run, watch)) return true;
  }
  return false;
}

/** What the timetable puts in at one moment goes in by one opening of the door. */
const ONE_OPENING_S = 60;

/** Whether an oven is open for a load, since another that is told to go in with it has just gone in. */
function justOpened(state: BenchState, { step }: Placed, watch: Watch): boolean {
  const oven = ovenOf(state, step);
  if (oven === undefined) return false;
  const { placed } = lookup(state.setup.workload);
  return [...runsOf(state).values()].some(
    (run) =>
      run.state === 'running' &&
      ovenOf(state, must(placed, run.step).step) === oven &&
      goInTogether(state, step.id, run, watch),
  );
}

/** Whether a load is told to go in with one that has just gone in. */
function goInTogether(state: BenchState, step: StepId, other: Running, watch: Watch): boolean {
  const told = (id: StepId): EpochMs => must(planned(state.timetable).steps, id).start;
  return told(step) === told(other.step) && !watch.reached(plus(other.startedAt, ONE_OPENING_S));
}

/** When the oven is right for a step that must find it hot; far off while its knob is not set. */
function ovenReady(state: BenchState, placed: Placed): EpochMs {
  const oven = ovenOf(state, placed.step);
  const demand = placed.step.oven;
  const run = oven === undefined ? undefined : ovenRun(state, oven);
  if (!run || !demand || demand.heat.kind === 'off' || followsInOven(placed)) return state.setup.begunAt;
  const model = must(lookup(state.setup.workload).ovens, run.oven);
  const isSet = run.heat.kind === 'at' && Math.abs(heatOf(run.heat) - heatOf(demand.heat)) <= model.tolerance;
  return isSet || isAsTheRoom(state, placed, run) ? run.readyAt : plus(state.setup.begunAt, FAR_OFF_S);
}

/** Whether an oven that is off is warm enough: the room is what is wanted, and the timetable sets the knob when the load is in. */
function isAsTheRoom({ setup, timetable }: BenchState, { step }: Placed, { oven, heat }: OvenRun): boolean {
  const { workload } = setup;
  const { tolerance } = must(lookup(workload).ovens, oven);
  if (heat.kind !== 'off' || step.oven?.heat.kind !== 'at') return false;
  if (Math.abs(workload.kitchen.ambient - heatOf(step.oven.heat)) > tolerance) return false;
  const told = planned(timetable).settings.get(step.id) ?? [];
  return told.every((setting) => setting.heat.kind === 'off' || setting.at === setting.hotBy);
}
/** Beyond any plan (400 days is the longest a plan may name). */
const FAR_OFF_S = 1000 * 86_400;

function ovenWords(state: BenchState, placed: Placed): string {
  const demand = placed.step.oven;
  if (!demand) return '';
  const oven = ovenOf(state, placed.step);
  const run = oven === undefined ? undefined : ovenRun(state, oven);
  const change =
    run && sameHeat(run.heat, demand.heat)
      ? ''
      : `, ${oven} ${heatWords(demand.heat)}${oven === undefined ? '' : knobWords(state, oven, demand.heat)}`;
  const door = demand.door === 'usable' ? '' : `, door ${demand.door}`;
  return change + door;
}

function doneCall(
  state: BenchState,
  placed: Placed,
  running: Running,
  run: ComponentRun,
  course: Course,
  watch: Watch,
): WantedCall[] {
  const { step, component } = placed;
  // The presenter goes on to the next showing at any time, also where the clock would end this one.
  const isShown = showingOf(state, step.id) !== undefined;
  if (endsByClock(step) && !isShown) return [];
  const { low, usual } = expectedLength(step);
  const isRest = step.length.kind === 'rest';
  const opens = isRest ? clockMoment(step, running) : plus(running.startedAt, isShown ? 0 : low / 2);
  if (!watch.reached(opens)) return [];
  const due = isRest
    ? restDue(state, placed, running, course, watch)
    : earlier(
        running.readyAt ?? plus(running.startedAt, usual + running.extra),
        plus(running.startedAt, usual + running.extra),
      );
  const out = isRest && step.oven && !step.until ? `out of the ${ovenOf(state, step) ?? 'oven'}` : 'done?';
  const until = step.until ? `done when ${describeTrigger(step.until)}` : out;
  const latest =
    step.length.kind === 'rest' && step.length.atMost !== undefined
      ? {
          at: plus(running.startedAt, step.length.atMost),
          breaks: `it may rest ${roughly(step.length.atMost)} at most`,
        }
      : undefined;
  return [
    {
      key: `done ${step.id}#${run.attempt}`,
      asks: { kind: 'done', step: step.id },
      component: component.id,
      text: `${called(placed)}, ${until}`,
      due,
      ...(latest ? { latest } : {}),
      priority: 'low',
    },
  ];
}

/** When what rests is to be ended: long enough, when it is wanted, and as the promise of the timetable has it. */
function restDue(state: BenchState, placed: Placed, running: Running, course: Course, watch: Watch): EpochMs {
  const { step } = placed;
  const enough = clockMoment(step, running);
  const wanted = later(enough, wantedAt(state, placed, course));
  const due = promisedDue(state, { kind: 'end', step: step.id }, wanted, watch);
  return due === 'waits' ? wanted : later(enough, due);
}

/**
 * When what rests is wanted: when the timetable ends the rest, or later where whoever needs it is late, so that nothing
 * comes out of the cold before its time.
 */
function wantedAt(state: BenchState, rest: Placed, course: Course): EpochMs {
  const { step, next, component } = rest;
  const plannedEnd = must(planned(state.timetable).steps, step.id).end;
  const { users, placed } = lookup(state.setup.workload);
  const own = users.get(component.id) ?? [];
  if (next || isTakenOut(state, rest, own)) return plannedEnd;
  const wanted = own.map((user) => {
    const before = must(placed, user.id).before;
    const others = user.needs.filter((need) => need !== step.id).map(course.availableOf);
    return [...others, ...(before ? [plus(course.availableOf(before.id), user.after)] : [])].reduce(
      later,
      plannedEnd,
    );
  });
  return wanted.length === 0 ? plannedEnd : wanted.reduce(earlier);
}

const timerCall = (timer: BenchState['timers'][number]): WantedCall => ({
  key: `timer ${timer.name} ${timer.startedAt}`,
  asks: { kind: 'timer done', name: timer.name },
  text: `${timerCalled(timer.name)}: ${roughly(seconds((timer.endsAt - timer.startedAt) / 1000))} are over`,
  due: timer.endsAt,
  priority: 'low',
});

function servedCall(state: BenchState, watch: Watch): WantedCall[] {
  const service = nextService(state);
  if (!service || !isReady(state, service)) return [];
  if (!watch.reached(plus(service.at, -OPEN_BEFORE_S))) return [];
  const key = state.servings.length === 0 ? 'served' : `served ${state.servings.length + 1}`;
  return [
    {
      key,
      asks: { kind: 'served' },
      text: `${state.setup.rundown ? 'the demonstration is over' : 'serve'}: ${titlesOf(state, service)}`,
      due: service.at,
      priority: 'low',
    },
  ];
}
