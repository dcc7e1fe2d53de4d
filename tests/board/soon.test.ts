import fc from 'fast-check';
import { expect, test } from 'vitest';
import { apply, begin, project, type BenchState, type RunSetup } from '../../src/bench/index.ts';
import { keptLanes } from '../../src/board/hidden-soon.ts';
import { wordsOf } from '../../src/board/lines.ts';
import { axisWidth, paintScreen } from '../../src/board/screen.ts';
import { FRESH } from '../../src/board/ui.ts';
import { loadWorkload } from '../../src/plan/index.ts';
import { planTimetable } from '../../src/planner/index.ts';
import { rehearseToEnd } from '../../src/rehearsal/index.ts';
import { minutes, plus, secondsBetween, type EpochMs } from '../../src/units/index.ts';
import { boardView, callText, clean, cut, lookupIn, type BoardView } from '../../src/view/index.ts';
import { kitchenFile, planText } from '../demo-plans/demo-plans.ts';
import { NOON } from '../support/plans.ts';

/*
 * Three plans laid together have more components, alarms and timers than a terminal of 80x24 has rows. Whatever is wanted
 * within ten minutes has to be on it all the same: tried on runs whose cook answers nothing any more from some moment on.
 */
const [WIDTH, HEIGHT] = [80, 23];
const SOON_S = 600;

function together(): RunSetup {
  const files = ['gallery-opening', 'terrace-tea', 'rowing-dinner'].map((name) => ({
    file: `${name}.yaml`,
    bytes: new TextEncoder().encode(planText(name)),
  }));
  const { workload } = loadWorkload(files, { findKitchen: kitchenFile, timeZone: 'UTC' });
  if (!workload) throw new Error('the plans do not go together');
  const planned = planTimetable(workload, { service: { kind: 'soonest' }, now: NOON });
  if (!('timetable' in planned)) throw new Error(planned.status);
  return { run: 'together', workload, timetable: planned.timetable, begunAt: NOON };
}

const setup = together();
/** How the run stands after every so many of its events. */
const stood: BenchState[] = [];
rehearseToEnd(setup, 1).events.reduce((state, event, index) => {
  const next = apply(state, event).state;
  if (index % 7 === 0) stood.push(next);
  return next;
}, begin(setup));

/** The run after the cook has set some timers and then answered nothing for so long. */
function neglected(from: BenchState, timers: readonly number[], length: number): BenchState {
  const take = (state: BenchState, happening: object, at: EpochMs, id: string): BenchState =>
    apply(state, { id, time: at, source: 'cook', ...happening } as Parameters<typeof apply>[1]).state;
  const timed = timers.reduce(
    (state, count, index) =>
      take(
        state,
        { kind: 'timer', name: `glass ${index}`, length: minutes(count) },
        state.time,
        `timer-${index}`,
      ),
    from,
  );
  return take(timed, { kind: 'clock' }, plus(timed.time, length), 'later');
}

/** What is wanted within ten minutes and cannot be found on the screen. */
function missing(state: BenchState, now: EpochMs, view: BoardView, rows: readonly string[]): string[] {
  const text = rows.join('\n');
  const { nameOf, step: stepOf } = lookupIn(state.setup.workload);
  const soon = (at: EpochMs): boolean => secondsBetween(now, at) <= SOON_S;
  /** A component is there in a row of its own, or by its whole name beside its mark. */
  const tells = (name: string): boolean =>
    rows.some((row) => /[○▶●◆✔]/.test(row) && row.includes(cut(name, 9))) ||
    text.includes(`██ ${name.toUpperCase()} `) ||
    text.includes(`SOON  ${name.toUpperCase()}`);
  const lost: string[] = [];
  const need = (is: boolean, what: string): void => void (is || lost.push(what));
  for (const call of state.calls.filter(({ due }) => soon(due))) {
    const steps = call.asks.kind === 'start' || call.asks.kind === 'done';
    if (call.key === view.now.key) continue;
    if (steps && call.component !== undefined) need(tells(nameOf(call.component)), call.text);
    else need(text.includes(callText(call).slice(0, 12)), call.text);
  }
  for (const alarm of state.alarms) {
    if (alarm.state === 'returned' || alarm.key === view.now.key) continue;
    if (alarm.by !== undefined && !soon(alarm.by)) continue;
    const who = alarm.component === undefined ? '' : nameOf(alarm.component);
    const ways = [
      `${alarm.kind}: ${clean(alarm.cause).slice(0, 8)}`,
      `${alarm.kind}, the first: `,
      `${alarm.kind} ${who}`,
    ];
    need(
      ways.some((way) => text.includes(way)),
      `${alarm.kind}: ${alarm.cause}`,
    );
  }
  for (const { step, start, end } of project(state, now).steps) {
    const run = state.components.flatMap(({ steps }) => steps).find((each) => each.step === step);
    const of = stepOf(step);
    const isNear = run?.state === 'running' ? soon(end) : run?.state === 'waiting' && soon(start);
    if (of && isNear) need(tells(nameOf(of.component)), step);
  }
  for (const timer of state.timers) need(!soon(timer.endsAt) || text.includes(timer.name), timer.name);
  for (const { name, lock } of view.ovens) need(!lock || text.includes(lock.left), `${name} locked`);
  return lost;
}

test('whatever is wanted within ten minutes is on a screen of 80x24, with three plans laid together', () => {
  let seen = 0;
  fc.assert(
    fc.property(
      fc.nat(stood.length - 1),
      fc.array(fc.integer({ min: 1, max: 14 }), { maxLength: 6 }),
      fc.integer({ min: 0, max: 2400 }),
      (index, timers, length) => {
        const from = stood[index];
        if (!from || from.servedAt !== undefined) return;
        const state = neglected(from, timers, length);
        const now = state.time;
        const view = boardView(state, now, { axisWidth: axisWidth(WIDTH) });
        const rows = paintScreen(
          view,
          { ui: FRESH, link: {}, beat: false, now },
          { width: WIDTH, height: HEIGHT },
          [],
        ).map(wordsOf);
        seen += 1;
        expect({ missing: missing(state, now, view, rows), rows }).toEqual({ missing: [], rows });
      },
    ),
    { numRuns: 80, seed: 11 },
  );
  expect(seen).toBeGreaterThan(60);
});

test('components that are wanted late are told in one row, the soonest of them first', () => {
  const some = stood.filter((state, index) => index % 20 === 3 && state.servedAt === undefined);
  expect(some.length).toBeGreaterThan(4);
  for (const state of some) {
    const view = boardView(state, state.time, { axisWidth: axisWidth(WIDTH) });
    const kept = keptLanes(view, undefined, 6);
    const [own, rest] = [true, false].map((is) =>
      view.lanes.filter(({ component }) => kept.has(component) === is).map(({ at = Infinity }) => at),
    );
    expect([own?.length, rest?.length]).toEqual([5, view.lanes.length - 5]);
    expect(Math.max(...(own ?? []))).toBeLessThanOrEqual(Math.min(...(rest ?? [])));
    expect(keptLanes(view, 1, 6).has(view.lanes[1]?.component ?? never())).toBe(true);
  }
});

const never = (): never => {
  throw new Error('no such lane');
};
