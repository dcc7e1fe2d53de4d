import type { Oven, OvenFigure } from '../plan/index.ts';
import { celsius, seconds } from '../units/index.ts';
import { ovenModel, secondsTo, type OvenDoor, type OvenModel } from './oven.ts';

/** Readings of an oven's air while nothing was changed: neither its knob nor its door, and no load went in. */
export interface OvenStretch {
  /** The run it was read in. */
  readonly run: string;
  /** What it was to come to and hold; nothing where it was off. */
  readonly goal: number | undefined;
  readonly door: OvenDoor;
  /** How far it was believed to stand above its knob: so much lower its knob was set. */
  readonly offset: number;
  /** Seconds from the beginning of the stretch, in order, and what was read. */
  readonly samples: readonly { readonly seconds: number; readonly celsius: number }[];
}

/** A figure as several runs have shown it. */
export interface LearnedFigure {
  readonly value: number;
  /** One standard deviation from run to run; nothing where there was but one run. */
  readonly spread?: number;
  readonly runs: number;
}

/** What runs have shown of an oven. Times in seconds, over the spans that mean rates hold for; differences in Celsius. */
export interface LearnedOven {
  /** From the room to 200 C. */
  readonly heats?: LearnedFigure;
  /** From 220 C to 180 C, with the door shut, ajar and open. */
  readonly cools?: LearnedFigure;
  readonly ajar?: LearnedFigure;
  readonly open?: LearnedFigure;
  /** How far it stands above what its knob says. */
  readonly offset?: LearnedFigure;
  /** How far the air swings to either side. */
  readonly swing?: LearnedFigure;
}

/** The first two minutes say more of the probe than of the oven. */
const LAG_S = 120;
/** A fit wants so many readings over so many degrees. */
const FEWEST = 6;
const LEAST_C = 30;
/** Near the goal the thermostat has its say, near the room the curve is too flat. */
const NEAR_GOAL = 12;
const NEAR_ROOM = 15;
/** An oven holds its goal once it has been there for so long, and is judged over at least as long. */
const SETTLED_S = 1200;
const HELD_S = 600;
/** Residuals larger than so many times the usual one count less (Huber 1964). */
const HUBER = 1.345;

/** The span that a figure is told over. */
const SPAN = { heats: [undefined, 200], cools: [220, 180], ajar: [220, 180], open: [220, 180] } as const;

/**
 * Fits an oven's figures to what a probe in its air has read in several runs: straight lines by least squares through the
 * logarithm of what is left of the way, with outliers counting less, one for each stretch; then the mean over runs.
 */
export function learnOven(stretches: readonly OvenStretch[], oven: Oven, ambient: number): LearnedOven {
  const model = ovenModel(oven, ambient);
  const found = {
    heats: overRuns(stretches, (stretch) => heatingTime(model, stretch)),
    cools: overRuns(stretches, (stretch) => coolingTime(model, stretch, 'shut')),
    ajar: overRuns(stretches, (stretch) => coolingTime(model, stretch, 'ajar')),
    open: overRuns(stretches, (stretch) => coolingTime(model, stretch, 'open')),
    offset: overRuns(stretches, (stretch) => held(stretch)?.off),
    swing: overRuns(stretches, (stretch) => held(stretch)?.swing),
  };
  return Object.fromEntries(Object.entries(found).filter(([, figure]) => figure !== undefined));
}

/** Seconds from the room to 200 C with the time constant that fits best. */
function heatingTime(model: OvenModel, { goal, door, samples }: OvenStretch): number | undefined {
  if (goal === undefined || door !== 'shut') return undefined;
  const rising = untilPast(samples, (read) => read >= Math.min(goal, model.knee) - NEAR_GOAL);
  const slope = slopeOf(
    rising.map(({ seconds: time, celsius: read }) => [time, -Math.log(model.hottest - read)]),
  );
  if (slope === undefined || !covers(rising, 1)) return undefined;
  return secondsTo({ ...model, heating: 1 / slope }, model.ambient, SPAN.heats[1]);
}

/** Seconds from 220 C to 180 C. */
function coolingTime(model: OvenModel, stretch: OvenStretch, door: OvenDoor): number | undefined {
  const { goal, samples } = stretch;
  if (stretch.door !== door) return undefined;
  const low = Math.max(model.ambient + NEAR_ROOM, goal === undefined ? -Infinity : goal + NEAR_GOAL);
  const falling = untilPast(samples, (read) => read <= low);
  const slope = slopeOf(
    falling.map(({ seconds: time, celsius: read }) => [time, -Math.log(read - model.ambient)]),
  );
  if (slope === undefined || !covers(falling, -1)) return undefined;
  const fitted = { ...model, cooling: { ...model.cooling, [door]: 1 / slope } };
  return secondsTo(fitted, SPAN.cools[0], SPAN.cools[1], door);
}

/** How far from its goal an oven held, and how far its air swung, once it had settled. */
function held({
  goal,
  door,
  offset,
  samples,
}: OvenStretch): { readonly off: number; readonly swing: number } | undefined {
  if (goal === undefined || door !== 'shut') return undefined;
  const late = samples.filter(({ seconds: time }) => time >= SETTLED_S);
  // Settled: its later half stands where its earlier half stood.
  const half = Math.floor(late.length / 2);
  const [earlier, later] = [late.slice(0, half), late.slice(half)].map((part) =>
    mean(part.map((each) => each.celsius)),
  );
  const [first, last] = [late[0], late.at(-1)];
  if (!first || !last || late.length < 2 * FEWEST || last.seconds - first.seconds < HELD_S) return undefined;
  if (earlier === undefined || later === undefined || Math.abs(later - earlier) > NEAR_GOAL / 2)
    return undefined;
  const sorted = late.map((each) => each.celsius).toSorted((a, b) => a - b);
  const at = (share: number): number => sorted[Math.round(share * (sorted.length - 1))] ?? 0;
  return { off: mean(sorted) - goal + offset, swing: (at(0.95) - at(0.05)) / 2 };
}

type Sample = OvenStretch['samples'][number];

/** Samples after the lag, up to the first that is past. */
function untilPast(samples: readonly Sample[], isPast: (read: number) => boolean): readonly Sample[] {
  const settled = samples.filter(({ seconds: time }) => time >= LAG_S);
  const end = settled.findIndex(({ celsius: read }) => isPast(read));
  return end === -1 ? settled : settled.slice(0, end);
}

function covers(samples: readonly Sample[], way: 1 | -1): boolean {
  const [first, last] = [samples[0], samples.at(-1)];
  return first !== undefined && last !== undefined && (last.celsius - first.celsius) * way >= LEAST_C;
}

/** The slope of the line through points by least squares, outliers counting less; nothing where it does not rise. */
function slopeOf(points: readonly (readonly [number, number])[]): number | undefined {
  if (points.length < FEWEST || points.some(([, y]) => !Number.isFinite(y))) return undefined;
  let weights = points.map(() => 1);
  let slope = 0;
  for (let round = 0; round < 10; round += 1) {
    const total = sum(weights);
    const centre = (of: 0 | 1): number =>
      sum(points.map((point, index) => (weights[index] ?? 0) * point[of])) / total;
    const [x, y] = [centre(0), centre(1)];
    const across = sum(points.map((point, index) => (weights[index] ?? 0) * (point[0] - x) ** 2));
    slope =
      sum(points.map((point, index) => (weights[index] ?? 0) * (point[0] - x) * (point[1] - y))) / across;
    const residuals = points.map((point) => Math.abs(point[1] - y - slope * (point[0] - x)));
    const usual = 1.4826 * median(residuals);
    if (usual < 1e-12) break;
    weights = residuals.map((residual) => Math.min(1, (HUBER * usual) / Math.max(residual, 1e-12)));
  }
  return slope > 0 && Number.isFinite(slope) ? slope : undefined;
}

/** One figure for each run that shows it, and from them the mean and the spread; a run that is far off all others is left out. */
function overRuns(
  stretches: readonly OvenStretch[],
  figureOf: (stretch: OvenStretch) => number | undefined,
): LearnedFigure | undefined {
  const byRun = new Map<string, number[]>();
  for (const stretch of stretches) {
    const figure = figureOf(stretch);
    if (figure !== undefined) byRun.set(stretch.run, [...(byRun.get(stretch.run) ?? []), figure]);
  }
  const all = [...byRun.values()].map(mean);
  const middle = median(all);
  const usual = 1.4826 * median(all.map((value) => Math.abs(value - middle)));
  const kept = all.length < 4 ? all : all.filter((value) => Math.abs(value - middle) <= 4 * usual + 1e-9);
  if (kept.length === 0) return undefined;
  const value = mean(kept);
  const spread = Math.sqrt(sum(kept.map((each) => (each - value) ** 2)) / Math.max(1, kept.length - 1));
  return { value, runs: kept.length, ...(kept.length > 1 ? { spread } : {}) };
}

const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);
const mean = (values: readonly number[]): number => sum(values) / values.length;
function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const half = sorted.length / 2;
  return ((sorted[Math.floor(half)] ?? 0) + (sorted[Math.ceil(half) - 1] ?? 0)) / 2;
}

/** So many runs have to show a figure before it takes the place of a guess. */
const ENOUGH_RUNS = 2;

const PACES = ['heats', 'cools', 'ajar', 'open'] as const;

/** The oven with what was learned in the place of guesses. What its kitchen file says stays as it is. */
export function withLearned(oven: Oven, learned: LearnedOven, ambient: number): Oven {
  const { guessed } = ovenModel(oven, ambient);
  let better = oven;
  const takes = (figure: OvenFigure, found: LearnedFigure | undefined): found is LearnedFigure =>
    found !== undefined && found.runs >= ENOUGH_RUNS && guessed.includes(figure);
  for (const pace of PACES) {
    const found = learned[pace];
    if (!takes(pace, found)) continue;
    const [from = ambient, to] = SPAN[pace];
    const watched = { from: celsius(from), to: celsius(to), in: seconds(found.value) };
    better = { ...better, [pace]: watched, given: [...(better.given ?? givenOf(oven)), pace] };
  }
  const { offset, swing } = learned;
  if (takes('offset', offset)) better = { ...better, offset: celsius(offset.value) };
  if (takes('swing', swing)) better = { ...better, swing: celsius(swing.value) };
  return better;
}

/** The figures of an oven that nobody guessed. */
const givenOf = (oven: Oven): OvenFigure[] =>
  (['heats', 'cools', 'soak', 'tolerance'] as const).filter((figure) => oven.given?.includes(figure) ?? true);

/** What was learned, a line for each figure: `heats from 20 to 200 C in 13.2 min, +- 1.1 min (learned from 4 runs)`. */
export function learnedWords(learned: LearnedOven, ambient: number): readonly string[] {
  const runs = ({ runs: count }: LearnedFigure): string =>
    `(learned from ${count} ${count === 1 ? 'run' : 'runs'})`;
  const spread = (figure: LearnedFigure, scale: number, unit: string): string =>
    figure.spread === undefined ? '' : `, +- ${(figure.spread / scale).toFixed(1)} ${unit}`;
  const told = (figure: LearnedFigure | undefined, says: string, scale: number, unit: string): string[] =>
    figure
      ? [`${says} ${(figure.value / scale).toFixed(1)} ${unit}${spread(figure, scale, unit)} ${runs(figure)}`]
      : [];
  return [
    ...told(learned.heats, `heats from ${Math.round(ambient)} to 200 C in`, 60, 'min'),
    ...told(learned.cools, 'cools from 220 to 180 C, door shut, in', 60, 'min'),
    ...told(learned.ajar, 'cools from 220 to 180 C, door ajar, in', 60, 'min'),
    ...told(learned.open, 'cools from 220 to 180 C, door open, in', 60, 'min'),
    ...told(learned.offset, 'stands off its knob by', 1, 'C'),
    ...told(learned.swing, 'its air swings to either side by', 1, 'C'),
  ];
}
