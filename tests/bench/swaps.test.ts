import { describe, expect, test } from 'vitest';
import {
  apply,
  begin,
  lateSwaps,
  nextDeadline,
  replay,
  stageOf,
  windowOf,
  type BenchEvent,
  type BenchState,
} from '../../src/bench/index.ts';
import { createRehearsal } from '../../src/rehearsal/index.ts';
import { later, plus, wallClock } from '../../src/units/index.ts';
import { TestRun } from '../support/bench.ts';
import { done, onAir, stageSetup, start } from '../support/stage-fixture.ts';

const spoilt = { kind: 'spoilt', swap: 'A' } as const;

/** What is shown, what comes next, and how it ends. */
function stands({ state }: TestRun): string {
  const stage = stageOf(state, state.time);
  if (stage?.phase !== 'on air') return stage?.phase ?? 'no stage';
  const name = (index: number | undefined): string =>
    stage.rundown.showings[index ?? NaN]?.action ?? 'nothing';
  return `${name(stage.onAir.showing)}, then ${name(stage.next)}, ${stage.outlook.over}`;
}

describe('a copy that is spoilt', () => {
  test('its backup is taken, and the story goes on as it was', () => {
    const run = onAir().do('13:00:20', spoilt);
    expect(run.state.log.at(-1)?.text).toBe('swap A spoilt: the backup is taken');
    expect(stands(run)).toBe('welcome, then stamp the discs, 0');
    done(run, '13:01:30', 'stage.welcome');
    expect(run.stepState('discs A.stamp')).toBe('running');
  });

  test('with the last copy goes what cannot be shown without it; u brings it back', () => {
    const run = onAir().do('13:00:20', spoilt).do('13:00:30', spoilt);
    expect(run.state.log.map(({ text }) => text)).toContain('swap A spoilt: left out: stamp the discs');
    expect(stands(run)).toBe('welcome, then pipe a row of puffs, -60');
    expect([run.stepState('discs A.freeze'), run.stepState('discs A.stamp')]).toEqual(['skipped', 'skipped']);
    done(run, '13:01:30', 'stage.welcome');
    expect(run.stepState('puffs.pipe')).toBe('running');
    run.do('13:01:31', { kind: 'undo' }).do('13:01:32', { kind: 'undo' });
    expect(stands(run)).toBe('welcome, then stamp the discs, 2');
  });

  test('on the table: the backup is taken; without one the next showing begins at once', () => {
    const run = done(onAir(), '13:01:30', 'stage.welcome').do('13:01:40', spoilt);
    expect(stands(run)).toBe('stamp the discs, then pipe a row of puffs, 0');
    run.do('13:01:50', spoilt);
    expect([run.stepState('discs A.stamp'), run.stepState('puffs.pipe')]).toEqual(['skipped', 'running']);
    expect(stands(run)).toBe('pipe a row of puffs, then film, -40');
  });

  test('before it goes on air too, also where the first showing goes with it', () => {
    const run = new TestRun(stageSetup()).do('12:30', spoilt).do('12:31', spoilt);
    start(run, '12:59', 'air.places');
    expect(stands(run)).toBe('before');
    expect(stands(start(run, '13:00', 'stage.welcome'))).toBe('welcome, then pipe a row of puffs, -60');
  });

  test.each([
    ['13:00:10', 'B', 'there is no swap B'],
    ['13:00:40', 'A', 'no copy of swap A is left'],
  ])('refused at %s: %s, %s', (time, swap, why) => {
    const run = onAir();
    if (time > '13:00:30') run.do('13:00:20', spoilt).do('13:00:30', spoilt);
    expect(run.try(time, { kind: 'spoilt', swap })).toBe(why);
  });

  test('what has been shown to its end cannot be spoilt any more', () => {
    const run = done(done(onAir(), '13:01:30', 'stage.welcome'), '13:02:30', 'discs A.stamp');
    expect(run.try('13:02:40', spoilt)).toBe('swap A has been shown: nothing more is done with it');
  });

  test('written down and lived again it is the same run', () => {
    const run = done(onAir().do('13:00:20', spoilt).do('13:00:30', spoilt), '13:01:30', 'stage.welcome');
    expect(JSON.stringify(replay(stageSetup(), run.events))).toBe(JSON.stringify(run.state));
  });
});

test('a swap that is frozen late is right for as long as ever, from when it was', () => {
  const run = new TestRun(stageSetup());
  start(run, '12:15', 'discs A.roll');
  start(run, '12:26', 'discs A.freeze');
  const [swap] = stageSetup().rundown?.swaps ?? [];
  if (!swap) throw new Error('no swap');
  const { usableFrom, useBy = usableFrom } = windowOf(run.state, swap);
  expect([usableFrom, useBy].map((moment) => wallClock(moment, 'UTC'))).toEqual(['12:56', '17:26']);
});

test('a swap that will not be ready is told as soon as that is foreseen', () => {
  const run = new TestRun(stageSetup());
  const late = (): string[] =>
    lateSwaps(run.state, run.state.time).map(
      ({ swap, ready, wanted }) => `${swap.id} ${wallClock(ready, 'UTC')} for ${wallClock(wanted, 'UTC')}`,
    );
  start(run, '12:15', 'discs A.roll');
  expect(late()).toEqual([]);
  start(run.clock('12:40'), '12:40', 'discs A.freeze');
  expect(late()).toEqual(['A 13:10 for 13:01']);
});

/** Plays a demonstration to its end; at a moment of it all copies of a swap are spoilt. */
function playedWithout(swap: string, copies: number, at: number, seed: number): BenchState {
  const setup = stageSetup();
  const rehearsal = createRehearsal({ workload: setup.workload, seed });
  const moment = plus(setup.rundown?.begins ?? setup.begunAt, at);
  let [state, now, left] = [begin(setup), setup.begunAt, copies];
  for (let count = 0; count < 2000 && state.servedAt === undefined; count += 1) {
    const act = rehearsal.nextAct(state, now);
    const deadline = nextDeadline(state);
    const due = Math.min(act?.at ?? Infinity, deadline ?? Infinity);
    const event: BenchEvent =
      left > 0 && moment <= due
        ? { id: `s${left}`, time: later(moment, now), source: 'cook', kind: 'spoilt', swap }
        : deadline !== undefined && (!act || deadline <= act.at)
          ? { id: `e${count}`, time: later(deadline, now), source: 'clock', kind: 'clock' }
          : {
              id: `e${count}`,
              time: act?.at ?? now,
              source: act?.source ?? 'clock',
              ...(act?.happening ?? { kind: 'clock' }),
            };
    if (event.kind === 'spoilt') left -= 1;
    const outcome = apply(state, event);
    if (!outcome.ok && event.kind !== 'spoilt') throw new Error(`seed ${seed}: ${outcome.why}`);
    if (outcome.ok) [state, now] = [outcome.state, event.time];
  }
  return state;
}

test.each([-3000, -30, 20, 110, 130])(
  'spoilt %i s on air, the demonstration comes to its end all the same',
  (at) => {
    for (const copies of [1, 2])
      for (const seed of [1, 2, 3]) expect(playedWithout('A', copies, at, seed).servedAt).toBeDefined();
  },
);
