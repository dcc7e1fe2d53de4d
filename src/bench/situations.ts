import type { StepId } from '../plan/index.ts';
import { later, roughly, seconds, secondsBetween, type EpochMs, type Seconds } from '../units/index.ts';
import type { WantedAlarm } from './alarms.ts';
import type { Course } from './course.ts';
import { isAtPlaces } from './showings.ts';
import { called, lookup, must, nameIn, planned, runsOf } from './lookup.ts';
import { isServed } from './service.ts';
import type { BenchState, Projection, Situation } from './state.ts';

/** Lateness is told in levels, each twice the one before: getting a little later is no new situation. */
const FIRST_LEVEL_S = 600;
/** A level that has been reached stands until lateness has fallen to half of it. */
const FALLEN = 0.5;

/** What of the look at the bench tells whether the told timetable will do. */
export interface Outlook {
  readonly course: Course;
  readonly alarms: readonly WantedAlarm[];
  readonly projection: Projection;
}

/**
 * The situations in which a new timetable is wanted, the gravest first: the cook asks; a component is made again; service
 * would be missed; a clash is forecast; or what hangs together is expected much later than was told.
 */
export function situationsAt(state: BenchState, outlook: Outlook): readonly Situation[] {
  return [
    ...(state.replanning.asked === undefined
      ? []
      : [{ key: state.replanning.asked, reason: whyAsked(state.replanning.asked) }]),
    // On air lateness is answered by cuts, and the audience sees what is lost; before that it waits for its presenter.
    ...(isAtPlaces(state) ? [] : troubles(state, outlook)),
  ];
}

function troubles(state: BenchState, outlook: Outlook): Situation[] {
  return [
    ...lostOnes(state),
    ...missedService(state, outlook),
    ...clashes(outlook.alarms),
    ...slips(state, outlook.course),
  ];
}

const whyAsked = (key: string): string =>
  key.startsWith('service ') ? 'service was moved' : 'you asked for one';

function lostOnes(state: BenchState): Situation[] {
  return state.components
    .filter((run) => run.attempt > 1 && run.finishedAt === undefined)
    .map((run) => ({
      key: `lost ${run.component}#${run.attempt}`,
      reason: `${nameIn(state.setup.workload, run.component)} is to be made again`,
    }));
}

function missedService(state: BenchState, { alarms, projection }: Outlook): Situation[] {
  // The alarm has the dead band: it stands from a minute late until there is a margin again.
  if (!alarms.some((alarm) => alarm.kind === 'late for service')) return [];
  const late = seconds(Math.max(0, 0 - projection.margin));
  const reason = `service would be ${roughly(late)} late as it stands`;
  return [
    ...levels(state, 'late for service', late).map((key) => ({ key, reason })),
    { key: 'late for service 0', reason },
  ];
}

/** Clashes of which alarms tell. Of ovens that are late only those that break a window: the others sort themselves out. */
function clashes(alarms: readonly WantedAlarm[]): Situation[] {
  return alarms
    .filter(
      ({ kind, priority }) =>
        kind === 'oven clash' ||
        kind === 'hands clash' ||
        kind === 'clash ahead' ||
        (kind === 'oven not hot' && priority === 'medium'),
    )
    .map(({ key, cause }) => ({ key, reason: cause }));
}

/**
 * How much later than told things are expected: where components meet, and when each plan is ready. What else is late
 * only waits less and is no reason to change anything.
 */
function slips(state: BenchState, course: Course): Situation[] {
  const { placed } = lookup(state.setup.workload);
  const runs = runsOf(state);
  const told = planned(state.timetable).steps;
  let worst = { slip: 0, what: '' };
  const take = (toldAt: EpochMs, expected: EpochMs, what: () => string): void => {
    const slip = secondsBetween(toldAt, expected);
    if (slip > worst.slip) worst = { slip, what: what() };
  };
  for (const { step, start } of course.steps) {
    const here = must(placed, step);
    const meets = here.step.needs.some((need) => must(placed, need).component !== here.component);
    if (meets && must(runs, step).state === 'waiting')
      take(must(told, step).start, start, () => `${called(here)} would begin`);
  }
  for (const [plan, { title }] of state.setup.workload.plans.entries()) {
    const steps = state.setup.workload.components
      .filter((component) => component.plan === plan)
      .flatMap((component) => component.steps.map(({ id }): StepId => id));
    const open = steps.some((id) => ['running', 'waiting'].includes(must(runs, id).state));
    if (!open || isServed(state, plan)) continue;
    const ready = steps.map((id) => must(told, id).end).reduce(later);
    take(ready, steps.map(course.endOf).reduce(later), () => `${title} would be ready`);
  }
  const length = seconds(Math.max(0, worst.slip));
  const reason = `${worst.what} ${roughly(length)} later than told`;
  return levels(state, 'slips', length).map((key) => ({ key, reason }));
}

/** The keys of every level that so much lateness has reached, or has not fallen far enough below; the highest first. */
function levels(state: BenchState, family: string, late: Seconds): string[] {
  const stood = new Set(state.replanning.situations.map(({ key }) => key));
  const keys: string[] = [];
  for (let level = 1, limit = FIRST_LEVEL_S; ; level += 1, limit *= 2) {
    const key = `${family} ${level}`;
    if (late < limit && !(stood.has(key) && late >= limit * FALLEN)) return keys.toReversed();
    keys.push(key);
  }
}
