import { parseArgs } from 'node:util';
import { replay, type BenchState, type RunSetup } from '../src/bench/index.ts';
import { demoPlans } from '../src/cli/files.ts';
import { soundPlans } from '../src/cli/prepare.ts';
import { planTimetable } from '../src/planner/index.ts';
import { lookAhead, rehearseToEnd } from '../src/rehearsal/index.ts';
import { epochMs } from '../src/units/index.ts';

/*
 * How much computing a look ahead takes (ms of processor time), over states of rehearsals: so many cases of the rest of the run, each through the real bench.
 *
 *   npm run bench:ahead -- [--states 12] [--samples 64] [--json] [PLAN…]
 */
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    states: { type: 'string', default: '12' },
    samples: { type: 'string', default: '64' },
    json: { type: 'boolean', default: false },
  },
});

/** 2027-03-05, a Friday, 07:00 UTC. */
const FRIDAY_7 = epochMs(Date.UTC(2027, 2, 5, 7));
const print = (line: string): void => void process.stdout.write(`${line}\n`);

function setupOf(names: readonly string[]): RunSetup {
  const workload = soundPlans(names, {}, print);
  const result = planTimetable(workload, { service: { kind: 'soonest' }, now: FRIDAY_7 });
  if (!('timetable' in result)) throw new Error(`no timetable for ${names.join(' + ')}: ${result.status}`);
  const { timetable } = result;
  const first = [...timetable.steps.map(({ start }) => start), ...timetable.settings.map(({ at }) => at)];
  return { run: 'bench', workload, timetable, begunAt: epochMs(Math.min(...first)) };
}

/** States of one rehearsal, evenly over its events. */
function states(setup: RunSetup, count: number): BenchState[] {
  const { events } = rehearseToEnd(setup, 1);
  return Array.from({ length: count }, (_, index) =>
    replay(setup, events.slice(0, Math.floor((events.length * index) / count))),
  );
}

const together = ['gallery-opening', 'rowing-dinner', 'choir-supper'];
const sets = positionals.length > 0 ? [positionals] : [...demoPlans().map((name) => [name]), together];
const rows = sets.map((names) => {
  const setup = setupOf(names);
  const times: number[] = [];
  let clashes = 0;
  for (const state of states(setup, Number(values.states))) {
    const from = process.cpuUsage();
    clashes += lookAhead(state, state.time, { seed: 1, samples: Number(values.samples) }).length;
    const { user, system } = process.cpuUsage(from);
    times.push((user + system) / 1000);
  }
  times.sort((a, b) => a - b);
  return {
    plans: names.join(' + '),
    steps: setup.timetable.steps.length,
    'median ms': Math.round(times[Math.floor(times.length / 2)] ?? 0),
    'longest ms': Math.round(times.at(-1) ?? 0),
    'clashes seen': clashes,
  };
});
if (values.json) print(JSON.stringify(rows));
// oxlint-disable-next-line no-console
else console.table(rows);
