import { expect, test } from 'vitest';
import { airRecord, airRecordText } from '../../src/sheet/index.ts';
import { TestRun } from '../support/bench.ts';
import { done, onAir, stageSetup, start } from '../support/stage-fixture.ts';

test('a demonstration, each showing as it was told and as it was', () => {
  const run = onAir('13:00:10');
  done(run, '13:01:50', 'stage.welcome');
  run.do('13:02:00', { kind: 'skip', step: 'puffs.pipe' as never });
  done(run, '13:02:40', 'discs A.stamp');
  expect(airRecordText(run.state)).toEqual([
    'on air from 13:00:10, not off air yet',
    '     told      was',
    '     1:30      1:40  welcome',
    '     1:00      0:50  stamp the discs',
    '     1:00  left out  pipe a row of puffs',
    '     2:00         -  film',
    '     1:30         -  fill and close',
    '     0:30         -  the plate',
  ]);
  start(run, '13:02:42', 'puffs.bake');
  run.clock('13:04:42');
  start(run, '13:04:45', 'puffs.fill');
  done(run, '13:06:40', 'puffs.fill');
  done(run, '13:07:20', 'stage.plate');
  expect(airRecordText(run.state)[0]).toBe('on air 13:00:10 to 13:07:20: 7:10, 0:20 under');
  expect(airRecord(run.state)).toMatchObject({
    begun: '2027-03-01T13:00:10.000Z',
    ended: '2027-03-01T13:07:20.000Z',
    lastsSeconds: 450,
    showings: [
      { step: 'stage.welcome', shows: 'welcome', toldSeconds: 90, shownSeconds: 100, leftOut: false },
      {},
      { step: 'puffs.pipe', shownSeconds: null, leftOut: true },
      {},
      {},
      {},
    ],
  });
});

test('before it is on air, and where a run is no demonstration, there is nothing to say', () => {
  const { rundown: _, ...plain } = stageSetup();
  expect(airRecordText(new TestRun(stageSetup()).clock('12:30').state)).toEqual([]);
  expect(airRecord(new TestRun(plain).clock('12:30').state)).toBe(undefined);
});
