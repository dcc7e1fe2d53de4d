import { join } from 'node:path';
import { expect, test } from 'vitest';
import type { Noise } from '../../src/herald/index.ts';
import { createRun } from '../../src/journal/index.ts';
import { attach } from '../../src/keeper/client.ts';
import { machineClock, momentOf } from '../../src/keeper/clock.ts';
import { keepRun } from '../../src/keeper/keep.ts';
import { seconds } from '../../src/units/index.ts';
import { fakeBench } from '../support/fake-bench.ts';
import { tempFolder } from '../support/folder.ts';
import { tinySetup } from '../support/tiny-setup.ts';
import { until } from '../support/until.ts';

test('the keeper makes the noises by the command of the cook, also when no board is open', async () => {
  const store = join(tempFolder(), 'store');
  const run = 'loud-1';
  createRun(store, tinySetup(run, Date.now()), momentOf(machineClock()));
  const played: Noise[] = [];
  const { promise: begun, resolve: begin } = Promise.withResolvers<() => void>();
  const kept = keepRun({
    store,
    run,
    engine: fakeBench,
    clock: machineClock(),
    notify: undefined,
    sound: (noise, done) => {
      played.push(noise);
      done(undefined);
      return () => undefined;
    },
    log: () => undefined,
    onStart: begin,
  });
  const stop = await begun;
  const attached = await attach({ store, run, engine: fakeBench });
  if (!attached.ok) throw new Error(attached.why);
  await attached.link.press({ kind: 'timer', name: 'tea', length: seconds(0.2) });
  await attached.link.close();
  await until('the noise', () => played.length > 0);
  expect(played).toHaveLength(1);
  expect(played[0]?.text).toContain('tea');
  stop();
  expect((await kept).reason).toBe('stopped');
});
