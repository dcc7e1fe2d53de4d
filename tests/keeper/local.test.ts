import { expect, test } from 'vitest';
import type { Happening } from '../../src/bench/index.ts';
import { memoryJournal } from '../../src/journal/index.ts';
import { openLocalKeeper, simulatedClock, type LinkChange } from '../../src/keeper/index.ts';
import { seconds, temperatureOf } from '../../src/units/index.ts';
import { fakeBench } from '../support/fake-bench.ts';
import { tinySetup } from '../support/tiny-setup.ts';

const setup = tinySetup();
const timer = (name: string, length: number): Happening => ({ kind: 'timer', name, length: seconds(length) });

test('a keeper in this process is a link like any other', async () => {
  const clock = simulatedClock(setup.begunAt);
  const keeper = openLocalKeeper({ journal: memoryJournal(setup), engine: fakeBench, clock });
  const changes: LinkChange[] = [];
  const unsubscribe = keeper.subscribe((change) => changes.push(change));
  expect(await keeper.press(timer('tea', 1800))).toEqual({ ok: true });
  expect(await keeper.press({ kind: 'timer done', name: 'milk' })).toMatchObject({ ok: false });
  // Its clock may jump as far as it likes: a rehearsal is not a machine that slept.
  clock.advance(3_600_000);
  keeper.tick();
  expect(
    keeper.act('probe', { kind: 'reading', probe: 'curd', temperature: temperatureOf(40, 'C') }),
  ).toEqual({
    ok: true,
  });
  unsubscribe();
  await keeper.press(timer('eggs', 5));
  await keeper.stopRun();
  expect(changes).toMatchObject([
    { kind: 'event', event: { kind: 'timer', source: 'cook' } },
    { kind: 'event', event: { kind: 'clock' }, effects: [{ kind: 'ring', key: 'timer tea' }] },
    { kind: 'event', event: { kind: 'reading', source: 'probe' } },
  ]);
  expect(keeper.clock() - setup.begunAt).toBe(3_600_000);
  expect(await keeper.press(timer('late', 5))).toEqual({ ok: false, why: 'the keeper has ended' });
});
