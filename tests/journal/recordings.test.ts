import { copyFileSync, mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { stageOf } from '../../src/bench/index.ts';
import { openRun, runFolder, type Contents } from '../../src/journal/index.ts';
import { benchEngine } from '../../src/keeper/bench-engine.ts';
import { epochMs } from '../../src/units/index.ts';
import { tempFolder } from '../support/folder.ts';
import { stageSetup } from '../support/stage-fixture.ts';
import { tinySetup } from '../support/tiny-setup.ts';

/*
 * Journals as earlier versions wrote them. They are never made anew: a program that no longer reads one, or reads
 * something else in it, would lose the runs of those who have such files.
 */
const RECORDINGS = fileURLToPath(new URL('../journals', import.meta.url));

function contentsOf(recording: string): Contents {
  const store = tempFolder();
  mkdirSync(runFolder(store, 'porch-lunch'), { recursive: true });
  copyFileSync(
    join(RECORDINGS, recording, 'journal.db'),
    join(runFolder(store, 'porch-lunch'), 'journal.db'),
  );
  const now = { wall: epochMs(1_900_000_000_000), elapsed: 0, boot: 'another' };
  const opened = openRun(store, 'porch-lunch', { purpose: 'read', now });
  if (opened.contents === undefined) throw new Error(opened.say);
  expect(opened.row.case).toBe('put down');
  return opened.contents;
}

test('there are recordings of earlier forms', () => {
  expect(readdirSync(RECORDINGS).toSorted()).toEqual(['form-1', 'form-2', 'form-4']);
});

test('form 1: every kind of event is read as it was written', () => {
  const { events, setup } = contentsOf('form-1');
  expect(events).toEqual(JSON.parse(readFileSync(join(RECORDINGS, 'form-1', 'events.json'), 'utf8')));
  expect(new Set(events.map(({ kind }) => kind)).size).toBe(16);
  expect(setup).toEqual(tinySetup());
});

test('form 1: the run comes out as it did', () => {
  const { events, setup } = contentsOf('form-1');
  let state = benchEngine.begin(setup);
  for (const event of events) {
    const outcome = benchEngine.apply(state, event);
    expect([event, outcome.ok]).toEqual([event, true]);
    state = outcome.state;
  }
  const at = (seconds: number): number => setup.begunAt + seconds * 1000;
  expect(state.servedAt).toBe(at(1708));
  expect(state.components).toMatchObject([
    {
      component: 'curd',
      attempt: 1,
      steps: [
        { step: 'curd.cook', state: 'ended', startedAt: at(100), endedAt: at(302), by: 'cook' },
        { step: 'curd.chill', state: 'skipped', endedAt: at(1703) },
      ],
    },
    {
      component: 'shells',
      attempt: 2,
      steps: [
        { step: 'shells.pipe', state: 'ended', startedAt: at(838), endedAt: at(958), by: 'cook' },
        { step: 'shells.bake', state: 'ended', startedAt: at(978), endedAt: at(1698), by: 'clock' },
      ],
    },
  ]);
});

test('form 2: new timetables asked for, offered, left, taken and taken back are read as they were written', () => {
  const { events, setup } = contentsOf('form-2');
  expect(events).toEqual(JSON.parse(readFileSync(join(RECORDINGS, 'form-2', 'events.json'), 'utf8')));
  expect(events.map(({ kind }) => kind)).toEqual([
    'clock',
    'start',
    'timetable asked',
    'not proposed',
    'lost',
    'proposed',
    'declined',
    'undo',
    'timetable',
    'timetable asked',
    'proposed',
  ]);
  let state = benchEngine.begin(setup);
  for (const event of events) {
    const outcome = benchEngine.apply(state, event);
    expect([event, outcome.ok]).toEqual([event, true]);
    state = outcome.state;
  }
  const [service = epochMs(0)] = setup.timetable.service;
  // The first offer, ten minutes later, is the one that is told; the second one waits.
  expect(state.timetable.service).toEqual([service + 600_000]);
  expect(state.replanning).toMatchObject({
    asked: 'asked c0ffee00-0000-4000-8000-00000000000a',
    answered: ['lost curd#2'],
    proposal: { id: 'keeper:11', reason: 'you asked for one', serviceMoved: [], attempts: [2, 1] },
  });
});

test('form 4: a demonstration, its showings cut and stretched, is read as it was written', () => {
  const { events, setup } = contentsOf('form-4');
  expect(events).toEqual(JSON.parse(readFileSync(join(RECORDINGS, 'form-4', 'events.json'), 'utf8')));
  expect(setup.rundown).toEqual(stageSetup().rundown);
  let state = benchEngine.begin(setup);
  for (const event of events) {
    const outcome = benchEngine.apply(state, event);
    expect([event, outcome.ok]).toEqual([event, true]);
    state = outcome.state;
  }
  const lengths = events.flatMap((event) => (event.kind === 'length' ? [[event.step, event.length]] : []));
  expect(lengths).toEqual([
    ['discs A.stamp', 40],
    ['puffs.pipe', 70],
    ['puffs.fill', 80],
  ]);
  expect(stageOf(state, state.time)).toMatchObject({ phase: 'over', over: -4.356 });
});
