import { apply, begin, nextDeadline, type BenchEvent, type BenchState } from '../../src/bench/index.ts';
import type { Rundown } from '../../src/planner/index.ts';
import { createRehearsal } from '../../src/rehearsal/index.ts';
import { LIFELIKE } from '../../src/rehearsal/life.ts';
import { later, type EpochMs } from '../../src/units/index.ts';

type Told = Omit<BenchEvent, 'id' | 'source'>;

/** A demonstration on the real bench as it goes on air, all of the work ahead having been done as planned. */
export function readyForAir({ workload, timetable, ...rundown }: Rundown): BenchState {
  const { begins } = rundown;
  const moments = [...timetable.steps.map(({ start }) => start), ...timetable.settings.map(({ at }) => at)];
  const begunAt = moments.reduce((a, b) => (a < b ? a : b));
  const planned: Told[] = [
    ...timetable.settings
      .filter(({ at }) => at < begins)
      .map(({ at, oven, heat }): Told => ({ time: at, kind: 'oven set', oven, heat }) as Told),
    ...timetable.steps
      .filter(({ start, end }) => start < end && end <= begins)
      .map(({ step, end }): Told => ({ time: end, kind: 'done', step, at: end }) as Told),
    // A rest that may be left out begins and ends at one moment, and what follows it begins then too.
    ...timetable.steps
      .filter(({ start }) => start < begins)
      .flatMap(({ step, start, end }): Told[] => {
        const told = { time: start, kind: 'start', step, at: start } as Told;
        return start === end ? [told, { time: end, kind: 'done', step, at: end } as Told] : [told];
      }),
  ];
  // What ends at a moment makes room for what begins then; a rest may be over with that already.
  return planned
    .toSorted((a, b) => a.time - b.time)
    .reduce<BenchState>(
      (state, told, index) => {
        const outcome = apply(state, { id: `p${index}`, source: 'cook', ...told } as BenchEvent);
        if (outcome.ok) return outcome.state;
        const isOver = told.kind === 'done' && /is over already/.test(outcome.why);
        if (!isOver) throw new Error(`${JSON.stringify(told)}: ${outcome.why}`);
        return state;
      },
      begin({ run: 'air', workload, timetable, begunAt, rundown }),
    );
}

/** When each showing began and ended, in ms on air, where the simulated presenter and helper go on from there. */
export function shownOnBench(from: BenchState, seed: number): (readonly [number, number])[] {
  const { workload, rundown } = from.setup;
  const rehearsal = createRehearsal({ workload, seed, life: LIFELIKE });
  const begins = rundown?.begins ?? from.time;
  const last = rundown?.showings.at(-1)?.step;
  const runsOf = (state: BenchState) =>
    new Map(state.components.flatMap(({ steps }) => steps.map((run) => [run.step, run] as const)));
  let [state, now]: [BenchState, EpochMs] = [from, begins];
  for (let count = 0; count < 3000; count += 1) {
    const end = last === undefined ? undefined : runsOf(state).get(last);
    if (!end || 'endedAt' in end) break;
    const act = rehearsal.nextAct(state, now);
    const deadline = nextDeadline(state);
    if (deadline === undefined && !act) throw new Error(`seed ${seed}: nobody has anything to do`);
    const isClock = deadline !== undefined && (!act || deadline <= act.at);
    const event = (
      isClock
        ? { id: `e${count}`, source: 'clock', kind: 'clock', time: later(deadline, now) }
        : { id: `e${count}`, source: act?.source, time: act?.at, ...act?.happening }
    ) as BenchEvent;
    const outcome = apply(state, event);
    if (!outcome.ok) throw new Error(`seed ${seed}: ${outcome.why}`);
    [state, now] = [outcome.state, event.time];
  }
  const runs = runsOf(state);
  return (rundown?.showings ?? []).map(({ step }) => {
    const run = runs.get(step);
    return run?.state === 'ended' ? [run.startedAt - begins, run.endedAt - begins] : [NaN, NaN];
  });
}
