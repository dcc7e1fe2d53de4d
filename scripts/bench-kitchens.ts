import { parseArgs } from 'node:util';
import { planTimetable, type PlanRequest, type PlanResult } from '../src/planner/index.ts';
import { asked } from '../tests/planner/kitchens/case.ts';
import { workingDay, type WorkingDay } from '../tests/planner/kitchens/working-day.ts';

/*
 * How the planner does on kitchens like ours, by size: puffs with lids and cream, tarts, layered cakes and rolls, for one cook,
 * from a morning's work to five days of it. Told are the time to the first timetable, the time to the proof that none is
 * better, and where there is no proof, how far each level of the ladder may be from the best.
 *
 *   node scripts/bench-kitchens.ts [--steps 30,60,120,300] [--seeds 3] [--limit 10] [--json]
 */
const { values: options } = parseArgs({
  options: {
    steps: { type: 'string', default: '30,60,120,300' },
    seeds: { type: 'string', default: '3' },
    limit: { type: 'string', default: '10' },
    json: { type: 'boolean', default: false },
  },
});

type Variant = Omit<WorkingDay, 'seed'>;

const VARIANTS: readonly Variant[] = [
  { steps: 30, days: 1, ovens: 1, mood: 'loose' },
  { steps: 30, days: 1, ovens: 1, mood: 'tight' },
  { steps: 30, days: 1, ovens: 2, mood: 'tight' },
  { steps: 60, days: 1, ovens: 1, mood: 'loose' },
  { steps: 60, days: 1, ovens: 1, mood: 'tight' },
  { steps: 60, days: 1, ovens: 2, mood: 'tight' },
  { steps: 120, days: 1, ovens: 1, mood: 'loose' },
  { steps: 120, days: 1, ovens: 2, mood: 'tight' },
  { steps: 120, days: 2, ovens: 1, mood: 'tight' },
  { steps: 300, days: 5, ovens: 1, mood: 'loose' },
  { steps: 300, days: 3, ovens: 2, mood: 'loose' },
  { steps: 300, days: 3, ovens: 2, mood: 'tight' },
];

interface LevelRow {
  readonly name: string;
  readonly value: number;
  readonly bound: number;
  /** What part of the value may be too much. */
  readonly gap: number;
}

interface Row extends WorkingDay {
  readonly status: PlanResult['status'];
  /** Milliseconds to the first timetable; nothing where none was found. */
  readonly first: number | null;
  /** Milliseconds to the answer that is certain; nothing where it is not. */
  readonly proof: number | null;
  readonly ms: number;
  readonly levels: readonly LevelRow[];
}

function measure(day: WorkingDay, limit: number): Row {
  const { workload, request } = asked(workingDay(day));
  const began = performance.now();
  const since = (): number => Math.round(performance.now() - began);
  let first: number | null = null;
  const question: PlanRequest & { readonly onImprovement: () => void } = {
    ...request,
    effort: Infinity,
    stop: () => performance.now() - began > limit * 1000,
    onImprovement: () => {
      first ??= since();
    },
  };
  const result = planTimetable(workload, question);
  const ms = since();
  const certain = result.status === 'optimal' || result.status === 'infeasible';
  if ('timetable' in result) first ??= ms;
  return { ...day, status: result.status, first, proof: certain ? ms : null, ms, levels: levelsOf(result) };
}

function levelsOf(result: PlanResult): LevelRow[] {
  if (!('timetable' in result)) return [];
  return result.levels.map(({ name, value, bound }) => ({
    name,
    value,
    bound,
    gap: value === bound ? 0 : (value - bound) / Math.max(1, Math.abs(value)),
  }));
}

/** In the middle of all, with those that are missing at the end. */
function median(all: readonly (number | null)[]): number | null {
  const sorted = all.toSorted((a, b) => (a ?? Infinity) - (b ?? Infinity));
  return sorted[Math.floor(sorted.length / 2)] ?? null;
}

const ms = (value: number | null): string => (value === null ? '-' : `${value}`);
const mostOf = (all: readonly (number | null)[]): number | null =>
  all.includes(null) ? null : Math.max(...all.map((value) => value ?? 0));

function tableRow(variant: Variant, rows: readonly Row[]): string {
  const counts = (['optimal', 'feasible', 'infeasible', 'unknown'] as const)
    .map((status) => [rows.filter((row) => row.status === status).length, status] as const)
    .filter(([count]) => count > 0)
    .map(([count, status]) => `${count} ${status}`);
  const [first, proof] = [rows.map((row) => row.first), rows.map((row) => row.proof)];
  const gaps = ['fresh', 'night', 'late', 'close', 'oven'].map((name) => {
    const found = rows.flatMap((row) => row.levels.filter((level) => level.name === name));
    return found.length === 0 ? '-' : `${(100 * Math.max(...found.map(({ gap }) => gap))).toFixed(1)}`;
  });
  const { steps, days, ovens, mood } = variant;
  return `| ${[
    steps,
    days,
    ovens,
    mood,
    counts.join(', '),
    `${ms(median(first))} / ${ms(mostOf(first))}`,
    `${ms(median(proof))} / ${ms(mostOf(proof))}`,
    ...gaps,
  ].join(' | ')} |`;
}

const HEAD = [
  'steps',
  'days',
  'ovens',
  'mood',
  'answers',
  'first, ms (median / most)',
  'proof, ms (median / most)',
  'fresh',
  'night',
  'late',
  'close',
  'oven: worst gap, %',
];

function run(): void {
  const sizes = new Set(options.steps.split(',').map(Number));
  const [seeds, limit] = [Number(options.seeds), Number(options.limit)];
  // The first kitchen is planned twice: the engine has to warm up, and that is not the planner's time.
  const [warm] = VARIANTS;
  if (warm) measure({ ...warm, seed: 0 }, 2);
  if (!options.json) process.stdout.write(`| ${HEAD.join(' | ')} |\n|${' --- |'.repeat(HEAD.length)}\n`);
  for (const variant of VARIANTS.filter(({ steps }) => sizes.has(steps))) {
    const rows = Array.from({ length: seeds }, (_, index) => measure({ ...variant, seed: index + 1 }, limit));
    if (options.json) for (const row of rows) process.stdout.write(`${JSON.stringify(row)}\n`);
    else process.stdout.write(`${tableRow(variant, rows)}\n`);
  }
}

run();
