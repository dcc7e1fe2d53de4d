/**
 * A keeper as a process of its own, for tests: `node keeper-process.ts --store DIR --run RUN`. It keeps the fake bench,
 * or the real one where TEST_BENCH is `real`, by clocks that a test can move through the file named in TEST_CLOCK.
 */
import { readFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { machineClock, type Clock } from '../../src/keeper/clock.ts';
import { keepRun } from '../../src/keeper/keep.ts';
import { logLine, stopOnSignal } from '../../src/keeper/main.ts';
import { benchEngine } from '../../src/keeper/bench-engine.ts';
import { epochMs } from '../../src/units/index.ts';
import { fakeBench } from './fake-bench.ts';

const { values } = parseArgs({ options: { store: { type: 'string' }, run: { type: 'string' } } });
const { TEST_BENCH, TEST_CLOCK, TEST_PAGES, TEST_SILENCE } = process.env;

/** The machine's clocks, moved by what the file says: `{"wall": ms, "elapsed": ms}`, each added to the real one. */
function movable(path: string): Clock {
  const real = machineClock();
  const moved = (): { wall: number; elapsed: number } => JSON.parse(readFileSync(path, 'utf8'));
  return {
    wall: () => epochMs(real.wall() + moved().wall),
    elapsed: () => real.elapsed() + moved().elapsed,
    boot: real.boot,
  };
}

const end = await keepRun({
  store: values.store ?? '',
  run: values.run ?? '',
  engine: TEST_BENCH === 'real' ? benchEngine : fakeBench,
  clock: TEST_CLOCK === undefined ? machineClock() : movable(TEST_CLOCK),
  notify: undefined,
  log: logLine,
  onStart: stopOnSignal,
  ...(TEST_PAGES === undefined ? {} : { maxPages: Number(TEST_PAGES) }),
  ...(TEST_SILENCE === undefined ? {} : { longestSilence: Number(TEST_SILENCE) }),
});
logLine(`ended: ${end.reason}${end.detail === undefined ? '' : `: ${end.detail}`}`);
process.exitCode = end.reason === 'failed' ? 1 : 0;
