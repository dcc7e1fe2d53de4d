import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { solve, startOf, type SolveResult } from '../src/planner/core/index.ts';
import { problemOf } from './bench-planner/problem-of.ts';
import { readProgenMax, wrongStarts, type Instance } from './bench-planner/progen-max.ts';

/*
 * The solver on published instances (RCPSP/max, minimal and maximal time lags, makespan):
 *
 *   node scripts/bench-planner.ts DIR --limit SECONDS [--json] [--set NAME]... [--only FIRST-LAST]
 *
 * DIR holds folders of ProGen/max files, `<set>/psp<i>.sch`, and may hold `best-known.csv` (set,instance,lower,upper,status).
 * One thread. The compiler is warmed up first: problems of 10 to 100 activities made here are solved, for three seconds, before the clock
 * runs. Prints a line of JSON for each instance, then (not with --json) a table for each set. Every schedule is checked
 * by a checker of its own before it is printed.
 */
interface Known {
  readonly lower: number;
  readonly upper: number;
  readonly status: string;
}

interface Row {
  readonly set: string;
  readonly instance: number;
  readonly status: SolveResult['status'];
  readonly makespan: number | null;
  readonly lower: number | null;
  readonly ms: number;
  readonly starts: readonly number[] | null;
}

function run(set: string, instance: number, data: Instance, seconds: number): Row {
  const problem = problemOf(data);
  const begun = performance.now();
  const until = begun + 1000 * seconds;
  const result = solve(problem, { budget: { stop: () => performance.now() >= until } });
  const ms = Math.round(10 * (performance.now() - begun)) / 10;
  const { status } = result;
  if (status === 'infeasible')
    return { set, instance, status, makespan: null, lower: null, ms, starts: null };
  if (status === 'unknown')
    return { set, instance, status, makespan: null, lower: result.bound, ms, starts: null };
  const starts = data.durations.map((_, i) => result.schedule.times[startOf(i)] ?? 0);
  const wrong = wrongStarts(data, starts);
  if (wrong.length > 0) throw new Error(`${set} psp${instance}: ${wrong.join('; ')}`);
  const [level] = result.levels;
  return { set, instance, status, makespan: starts.at(-1) ?? 0, lower: level?.bound ?? 0, ms, starts };
}

/** Instances out of a fixed stream of numbers, so that the clock measures compiled code. */
function warmUp(milliseconds: number): void {
  const until = performance.now() + milliseconds;
  let state = 12345;
  const below = (limit: number): number => {
    state = (Math.imul(state, 1103515245) + 12345) & 0x7fffffff;
    return (state >> 8) % limit;
  };
  while (performance.now() < until) {
    const n = 10 + below(90);
    const durations = [0, ...Array.from({ length: n }, () => 1 + below(10)), 0];
    const lags: { from: number; to: number; lag: number }[] = [];
    for (let i = 1; i <= n; i += 1) {
      lags.push({ from: 0, to: i, lag: 0 });
      for (let k = 0; k < 2; k += 1) {
        const to = i + 1 + below(6);
        if (to > n) continue;
        lags.push({ from: i, to, lag: below(12) });
        if (below(4) === 0) lags.push({ from: to, to: i, lag: -(12 + below(20)) });
      }
    }
    const capacities = [10, 10, 10, 10, 10];
    const demands = durations.map((duration) => capacities.map(() => (duration > 0 ? below(9) : 0)));
    run('warm', 0, { durations, lags, demands, capacities }, 0.3);
  }
}

function readKnown(folder: string): Map<string, Known> {
  const path = join(folder, 'best-known.csv');
  if (!existsSync(path)) return new Map();
  const lines = readFileSync(path, 'utf8').trim().split(/\r?\n/).slice(1);
  return new Map(
    lines.map((line) => {
      const [set = '', instance = '', lower = '', upper = '', status = ''] = line.split(',');
      return [
        `${set} ${instance}`,
        { lower: Number(lower), upper: upper === '' ? NaN : Number(upper), status },
      ];
    }),
  );
}

/** Whether a row contradicts what is known. */
function isWrong(row: Row, known: Known): boolean {
  if (row.status === 'infeasible') return known.status !== 'infeasible' && !Number.isNaN(known.upper);
  if (known.status === 'infeasible') return row.makespan !== null;
  if (row.status === 'optimal' && known.status === 'optimal') return row.makespan !== known.upper;
  if (row.lower !== null && !Number.isNaN(known.upper) && row.lower > known.upper) return true;
  return row.makespan !== null && row.makespan < known.lower;
}

function table(rows: readonly Row[], known: ReadonlyMap<string, Known>): string {
  const lines = ['set       optimal feasible infeasible unknown proven  of   gap %  wrong'];
  for (const set of [...new Set(rows.map((row) => row.set)), 'all']) {
    const mine = rows.filter((row) => set === 'all' || row.set === set);
    const count = (status: string): number => mine.filter((row) => row.status === status).length;
    const gaps = mine.flatMap((row) => {
      const best = known.get(`${row.set} ${row.instance}`)?.upper ?? NaN;
      return row.makespan === null || Number.isNaN(best) ? [] : [(100 * (row.makespan - best)) / best];
    });
    const gap =
      gaps.length === 0 ? '-' : (gaps.reduce((sum, each) => sum + each, 0) / gaps.length).toFixed(3);
    const wrong = mine.filter((row) => {
      const fact = known.get(`${row.set} ${row.instance}`);
      return fact !== undefined && isWrong(row, fact);
    }).length;
    const cells = [count('optimal'), count('feasible'), count('infeasible'), count('unknown')];
    lines.push(
      `${set.padEnd(8)} ${[...cells, count('optimal') + count('infeasible'), mine.length, gap, wrong]
        .map((cell, i) => String(cell).padStart([8, 8, 10, 7, 6, 5, 7, 6][i] ?? 6))
        .join(' ')}`,
    );
  }
  return lines.join('\n');
}

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    limit: { type: 'string', default: '1' },
    json: { type: 'boolean', default: false },
    set: { type: 'string', multiple: true },
    only: { type: 'string' },
  },
});
const [folder] = positionals;
const limit = Number(values.limit);
if (folder === undefined || !(limit > 0)) {
  console.error('usage: bench-planner DIR --limit SECONDS [--json] [--set NAME]... [--only FIRST-LAST]');
  process.exit(2);
}
const [least = 0, most = Infinity] = values.only?.split('-').map(Number) ?? [];
const known = readKnown(folder);
warmUp(3000);
const rows: Row[] = [];
for (const set of readdirSync(folder).toSorted()) {
  if (values.set && !values.set.includes(set)) continue;
  if (!existsSync(join(folder, set)) || set.includes('.')) continue;
  const instances = readdirSync(join(folder, set))
    .flatMap((name) => /^psp(\d+)\.sch$/i.exec(name)?.[1] ?? [])
    .map(Number)
    .filter((instance) => instance >= least && instance <= most)
    .toSorted((a, b) => a - b);
  for (const instance of instances) {
    const data = readProgenMax(readFileSync(join(folder, set, `psp${instance}.sch`), 'utf8'));
    const row = run(set, instance, data, limit);
    rows.push(row);
    console.log(JSON.stringify(row));
  }
}
if (!values.json) console.log(`\n${table(rows, known)}`);
