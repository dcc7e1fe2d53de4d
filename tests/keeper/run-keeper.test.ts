import { afterEach, expect, test, vi } from 'vitest';
import { memoryJournal } from '../../src/journal/index.ts';
import { simulatedClock } from '../../src/keeper/clock.ts';
import { openCore } from '../../src/keeper/core.ts';
import { runKeeper } from '../../src/keeper/run-keeper.ts';
import { seconds } from '../../src/units/index.ts';
import { fakeBench } from '../support/fake-bench.ts';
import { tinySetup } from '../support/tiny-setup.ts';

afterEach(() => vi.useRealTimers());

test('a board that never stops pressing does not put off the look at the clock', () => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'performance'] });
  const setup = tinySetup();
  const clock = simulatedClock(setup.begunAt);
  const core = openCore({ journal: memoryJournal(setup), engine: fakeBench, clock });
  let beats = 0;
  void runKeeper(core, { beat: () => void (beats += 1) });
  for (let press = 0; press < 50; press += 1) {
    clock.advance(100);
    vi.advanceTimersByTime(100);
    const happening = { kind: 'timer', name: `tea ${press}`, length: seconds(600) } as const;
    core.take({ kind: 'act', id: `press-${press}`, source: 'cook', happening });
  }
  expect([core.journal.events.length, beats]).toEqual([50, 5]);
  core.take({ kind: 'stop', reason: 'stopped' });
});
