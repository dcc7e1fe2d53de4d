/** Opens a run for keeping and prints what was found: `node open-run.ts STORE RUN`. */
import { openRun } from '../../src/journal/index.ts';
import { machineClock, momentOf } from '../../src/keeper/clock.ts';

const [store = '', run = ''] = process.argv.slice(2);
const opened = openRun(store, run, { purpose: 'keep', now: momentOf(machineClock()) });
opened.journal?.close();
process.stdout.write(
  JSON.stringify({ case: opened.row.case, events: opened.contents?.events.length ?? null }),
);
