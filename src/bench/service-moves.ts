import type { StepId } from '../plan/index.ts';
import type { Timetable } from '../planner/index.ts';
import { plus, roughly, seconds, secondsBetween, wallClock, type EpochMs } from '../units/index.ts';
import { acted, refused, type Acted } from './acted.ts';
import type { BenchEvent, ServiceMove } from './events.ts';
import { lookup, must, runsOf } from './lookup.ts';
import { misfit, takeTimetable } from './replanning.ts';
import { isServed, services } from './service.ts';
import type { BenchState } from './state.ts';

type Moved = Extract<BenchEvent, { kind: 'service moved' }>;

/**
 * Somebody moves service. What was offered was for another one, and what is told has to be looked at anew, unless a
 * timetable for it comes along and still fits.
 */
export function moveService(state: BenchState, { plan, to, also = [], timetable, time, id }: Moved): Acted {
  const moves = [{ plan, to }, ...also];
  const why = whyNot(state, moves, time);
  if (why !== undefined) return refused(why);
  const next: BenchState = {
    ...withServices(state, moves),
    replanning: { situations: state.replanning.situations, answered: [], asked: `service ${id}` },
    log: [
      ...state.log,
      ...moves.map((move) => ({ at: time, kind: 'note', text: movedWords(state, move) }) as const),
    ],
  };
  if (!timetable || misfit(next, timetable, time) !== undefined) return acted(next);
  const taken = takeTimetable(next, { timetable, time });
  return taken.ok
    ? acted({ ...taken.state, log: [...taken.state.log, ...laterLines(next, taken.state)] })
    : taken;
}

/**
 * The run as it would stand if service were moved now, with nothing asked for; or why that cannot be. Nothing happens
 * by it.
 */
export function ifServiceMoved(state: BenchState, moves: readonly ServiceMove[], now: EpochMs): Acted {
  const why = whyNot(state, moves, now);
  return why === undefined ? acted(withServices(state, moves)) : refused(why);
}

/**
 * What was told, with everything of the moved plans that has not begun as much later as their service is, and rests that go on
 * until then as much longer: what a cook would do whose guests are late. Whether that breaks a rule is the planner's to say.
 * The timetable itself where no service is moved to a later time.
 */
export function toldLater(state: BenchState, moves: readonly ServiceMove[]): Timetable {
  const { timetable, setup } = state;
  const { placed } = lookup(setup.workload);
  const runs = runsOf(state);
  const byPlan = new Map(
    moves.map(({ plan, to }) => [plan, secondsBetween(timetable.service[plan] ?? to, to)] as const),
  );
  const shift = (step: StepId): number => Math.max(0, byPlan.get(must(placed, step).component.plan) ?? 0);
  if (timetable.steps.every(({ step }) => shift(step) === 0)) return timetable;
  const steps = timetable.steps.map((planned) => {
    const { state: stands } = must(runs, planned.step);
    const by = shift(planned.step);
    if (stands === 'waiting')
      return { ...planned, start: plus(planned.start, by), end: plus(planned.end, by) };
    const rests = stands === 'running' && must(placed, planned.step).step.length.kind === 'rest';
    return rests ? { ...planned, end: plus(planned.end, by) } : planned;
  });
  const settings = timetable.settings.map((setting) => {
    const by = must(runs, setting.step).state === 'waiting' ? shift(setting.step) : 0;
    return { ...setting, at: plus(setting.at, by), hotBy: plus(setting.hotBy, by) };
  });
  return {
    ...timetable,
    steps: steps.toSorted((a, b) => a.start - b.start),
    settings: settings.toSorted((a, b) => a.at - b.at),
  };
}

function withServices(state: BenchState, moves: readonly ServiceMove[]): BenchState {
  const service = state.timetable.service.map(
    (moment, plan) => moves.find((move) => move.plan === plan)?.to ?? moment,
  );
  return { ...state, timetable: { ...state.timetable, service } };
}

function whyNot(state: BenchState, moves: readonly ServiceMove[], now: EpochMs): string | undefined {
  const gone = services(state)[state.servings.length - 1];
  for (const [index, { plan, to }] of moves.entries()) {
    const from = state.timetable.service[plan];
    if (from === undefined) return 'there is no such plan';
    if (moves.findIndex((other) => other.plan === plan) < index) return 'one plan is moved twice';
    if (isServed(state, plan)) return 'that has been served';
    if (from === to) return 'service is at that time already';
    if (to <= now || (gone && to <= gone.at)) return 'service cannot be moved to what is past';
  }
  return undefined;
}

const titleOf = ({ setup }: BenchState, plan: number): string =>
  setup.workload.plans.length > 1 ? (setup.workload.plans[plan]?.title ?? '') : 'service';

const clock = (state: BenchState, moment: EpochMs): string =>
  wallClock(moment, state.setup.workload.kitchen.timeZone);

function movedWords(state: BenchState, { plan, to }: ServiceMove): string {
  const apart = secondsBetween(state.timetable.service[plan] ?? to, to);
  const how = `${roughly(seconds(Math.abs(apart)))} ${apart < 0 ? 'earlier' : 'later'}`;
  return `${titleOf(state, plan)} is moved to ${clock(state, to)}, ${how}`;
}

/** Where a new timetable is not in time for a service that was asked for. */
function laterLines(asked: BenchState, { timetable }: BenchState): BenchState['log'] {
  return timetable.service.flatMap((moment, plan) =>
    moment === asked.timetable.service[plan]
      ? []
      : [
          {
            at: asked.log.at(-1)?.at ?? moment,
            kind: 'note',
            text: `${titleOf(asked, plan)} goes out at ${clock(asked, moment)}`,
          } as const,
        ],
  );
}
