import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { kitchenNetwork, loosened } from './bench-controllability/kitchen.ts';
import {
  dispatcher,
  planned,
  runDispatch,
  runFixed,
  runReactive,
  type Outcome,
  type Plan,
} from './bench-controllability/methods.ts';
import { rangesOf, sample } from './bench-controllability/setting.ts';
import { readProgenMax, type Instance } from './bench-planner/progen-max.ts';
import { decide, type UncertainNetwork } from '../src/planner/stnu/index.ts';

/*
 * Controllability in figures:
 *
 *   node scripts/bench-controllability.ts [DIR] [--samples 10] [--noise 1] [--set NAME]... [--every 1] [--json]
 *
 * First, how long a decision takes for a day's work of 60 to 400 steps, one that can be kept and one that cannot. Then, where DIR is given
 * (published instances of RCPSP/max, `<set>/psp<i>.sch`, with `best-known.csv`), what share of them is executed without a violation when lengths are
 * uncertain: by fixed schedules, by solving again on the way, and by dispatch; see docs/controllability.md for the setting. `--every 3` takes
 * every third instance. The same lengths for all methods; the seed of a run is 1000 times the instance's number, and the number of the run.
 */
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    samples: { type: 'string', default: '10' },
    noise: { type: 'string', default: '1' },
    set: { type: 'string', multiple: true },
    every: { type: 'string', default: '1' },
    json: { type: 'boolean', default: false },
  },
});

const CHANCES = [0.5, 0.75, 1] as const;
const nameOf = (kind: 'fixed' | 'reactive', chance: number): string => `${kind} ${100 * chance}`;
const METHODS = [
  ...CHANCES.map((chance) => nameOf('fixed', chance)),
  ...CHANCES.map((chance) => nameOf('reactive', chance)),
  'dispatch',
  'dispatch or 75',
];

interface Row {
  readonly set: string;
  readonly instance: number;
  /** No strategy keeps it always: there is no schedule for the case that everything takes longest. */
  readonly isHopeless: boolean;
  /** By method, in the order of METHODS: the outcome of each run. */
  readonly outcomes: readonly (readonly Outcome[])[];
  /** By method: milliseconds on the way, for all runs. */
  readonly milliseconds: readonly number[];
}

function measure(set: string, number: number, instance: Instance, noise: number, samples: number): Row {
  const ranges = rangesOf(instance, noise);
  const lengths = Array.from({ length: samples }, (_, run) => sample(ranges, 1000 * number + run));
  const plans = CHANCES.map((chance) => planned(instance, ranges, chance));
  const isHopeless = plans.at(-1) === 'infeasible';
  const found = plans.filter((plan): plan is Plan => typeof plan === 'object');
  const outcomes: Outcome[][] = [];
  const milliseconds: number[] = [];
  const all = (run: ((durations: readonly number[]) => Outcome) | undefined): void => {
    const began = performance.now();
    outcomes.push(lengths.map((durations) => run?.(durations)));
    milliseconds.push(performance.now() - began);
  };
  for (const plan of plans)
    all(typeof plan === 'object' ? (durations) => runFixed(instance, plan, durations) : undefined);
  plans.forEach((plan, i) => {
    const chance = CHANCES[i] ?? 1;
    const run = (durations: readonly number[]): Outcome =>
      typeof plan === 'object' ? runReactive(instance, ranges, chance, plan, durations) : undefined;
    all(run);
  });
  const executor = found.map((plan) => dispatcher(instance, ranges, plan)).find((each) => each !== undefined);
  all(executor && ((durations) => runDispatch(instance, executor, durations)));
  outcomes.push((executor ? outcomes.at(-1) : outcomes[METHODS.indexOf(nameOf('reactive', 0.75))]) ?? []);
  return { set, instance: number, isHopeless, outcomes, milliseconds };
}

function instancesOf(folder: string, set: string): readonly (readonly [number: number, data: Instance])[] {
  const known = readFileSync(join(folder, 'best-known.csv'), 'utf8').split(/\r?\n/);
  const impossible = new Set(known.filter((line) => /infeasible/.test(line)).map(placeOf));
  return readdirSync(join(folder, set))
    .flatMap((name) => /^psp(\d+)\.sch$/i.exec(name)?.[1] ?? [])
    .map(Number)
    .toSorted((a, b) => a - b)
    .filter((number) => !impossible.has(`${set},${number}`))
    .filter((_, place) => place % Number(values.every) === 0)
    .map((number) => [number, readProgenMax(readFileSync(join(folder, set, `psp${number}.sch`), 'utf8'))]);
}

const placeOf = (line: string): string => line.split(',').slice(0, 2).join(',');

const percent = (part: number, whole: number): string =>
  whole === 0 ? '-' : ((100 * part) / whole).toFixed(1);

function table(rows: readonly Row[]): string {
  const lines = [`${'method'.padEnd(16)}  runs %  instances %  makespan  ms a run`];
  const reference = METHODS.indexOf(nameOf('fixed', 1));
  METHODS.forEach((method, m) => {
    const runs = rows.flatMap((row) => row.outcomes[m] ?? []);
    const ratios = rows.flatMap((row) =>
      (row.outcomes[m] ?? []).flatMap((over, run) => {
        const other = row.outcomes[reference]?.[run];
        return over === undefined || other === undefined || other === 0 ? [] : [over / other];
      }),
    );
    const whole = rows.filter((row) => row.outcomes[m]?.every((over) => over !== undefined)).length;
    const time = rows.reduce((sum, row) => sum + (row.milliseconds[m] ?? 0), 0) / runs.length;
    const mean = ratios.reduce((sum, ratio) => sum + ratio, 0) / ratios.length;
    const good = runs.filter((over) => over !== undefined).length;
    lines.push(
      [
        method.padEnd(16),
        percent(good, runs.length).padStart(7),
        percent(whole, rows.length).padStart(12),
        (ratios.length === 0 ? '-' : mean.toFixed(3)).padStart(9),
        (rows[0]?.milliseconds[m] === undefined ? '-' : time.toFixed(1)).padStart(9),
      ].join(' '),
    );
  });
  return lines.join('\n');
}

function times(): void {
  console.log('steps  links  can be kept: ms  edges  waits   cannot: ms  circle');
  for (const steps of [60, 120, 200, 400]) {
    const tight = kitchenNetwork(steps, 1);
    const loose = loosened(tight);
    const [yes, no] = [decide(loose), decide(tight)];
    if (yes.kind !== 'controllable' || no.kind !== 'uncontrollable')
      throw new Error('a day that is not as it was made');
    console.log(
      [
        String(steps).padStart(5),
        String(tight.links.length).padStart(6),
        median(loose).padStart(16),
        String(yes.dispatch.links.length).padStart(6),
        String(yes.dispatch.waits.length).padStart(6),
        median(tight).padStart(12),
        String(no.cycle.length).padStart(7),
      ].join(' '),
    );
  }
}

/** The median of 15 decisions, in milliseconds. */
function median(network: UncertainNetwork): string {
  const all = Array.from({ length: 15 }, () => {
    const began = performance.now();
    decide(network);
    return performance.now() - began;
  });
  return (all.toSorted((a, b) => a - b)[7] ?? 0).toFixed(2);
}

const [folder] = positionals;
times();
if (folder !== undefined)
  for (const set of values.set ?? ['j10', 'j20', 'j30', 'ubo50', 'ubo100']) {
    const rows = instancesOf(folder, set).map(([number, data]) => {
      const row = measure(set, number, data, Number(values.noise), Number(values.samples));
      if (values.json) console.log(JSON.stringify(row));
      return row;
    });
    const hopeless = rows.filter((row) => row.isHopeless).length;
    console.log(`\n${set}: ${rows.length} instances, of which no strategy always keeps ${hopeless}`);
    console.log(table(rows));
  }
