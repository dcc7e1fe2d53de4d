import type { Oven, Step, Workload } from '../../../src/plan/index.ts';
import type { PlanRequest } from '../../../src/planner/index.ts';
import { claimsOn, type Claims } from './claims.ts';
import { closed, nights, type Stretch } from './clock.ts';
import { NOTHING, type GivingRules } from './giving.ts';
import { fromCold, levelNames, weightOf, type LevelName } from './ladder.ts';
import { coolingTime, heatingTime } from './newton.ts';

/*
 * A workload and a request as the exhaustive search looks at them. Each step has two points, start 2i and end 2i + 1. Times are
 * whole seconds from the latest service, so none is above 0.
 */
export interface Puzzle {
  readonly workload: Workload;
  readonly steps: readonly Step[];
  /** The latest service, in epoch seconds. */
  readonly base: number;
  readonly now: number | undefined;
  /** `distances[p * points + q]`: how much later than p point q is at least; -Infinity: nothing is said. */
  readonly distances: Float64Array;
  readonly points: number;
  /** First bounds of each point; where a low one is above its high one there is no timetable. */
  readonly low: Int32Array;
  readonly high: Int32Array;
  readonly claims: readonly Claims[];
  readonly loads: readonly Load[];
  readonly runs: readonly Run[];
  readonly ovens: readonly Oven[];
  readonly ambient: number;
  readonly closed: readonly Stretch[];
  readonly nights: readonly Stretch[];
  /** Whether each step has to lie within the hours. */
  readonly keepsHours: readonly boolean[];
  readonly waits: readonly Wait[];
  readonly levels: readonly LevelName[];
  /** The lags alone go round in a circle. */
  readonly circular: boolean;
}

/** An oven step. Neighbours are the oven steps directly before and after it in its component, by their place among the loads. */
export interface Load {
  readonly step: number;
  readonly run: number;
  /** Nothing: the oven is to be off. */
  readonly celsius: number | undefined;
  readonly shut: boolean;
  readonly alone: boolean;
  readonly shelves: number;
  /** Whether it asks for anything; what does not still says what the load after it takes over from. */
  readonly asks: boolean;
  readonly before: number | undefined;
  readonly after: number | undefined;
}

/** Loads that go to one and the same oven. */
export interface Run {
  readonly loads: readonly number[];
  readonly candidates: readonly number[];
}

/** Something dies between two points, or from a point to a fixed moment. */
export interface Wait {
  readonly from: number;
  readonly to: number | undefined;
  readonly until: number;
  readonly weight: number;
}

export const NEVER = -Infinity;
/** Looking further back than this is left to other tests. */
const FURTHEST = 400;

/**
 * @param back looks at least so many seconds back from the latest service, though nothing should be there to be found.
 * @param out rules that are left out; what is held for a step serves it all the same, and oven steps that ask for nothing go
 * with their run.
 */
export function puzzleOf(
  workload: Workload,
  request: PlanRequest,
  back = 0,
  out: GivingRules = NOTHING,
): Puzzle {
  if (request.service.kind !== 'at') throw new RangeError('the oracle wants to be told when service is');
  const { moments } = request.service;
  const base = Math.floor(Math.max(...moments) / 1000);
  const services = moments.map((moment) => Math.floor(moment / 1000) - base);
  const steps = workload.components.flatMap((component) => component.steps);
  const points = 2 * steps.length;
  const now = request.now === undefined ? undefined : Math.ceil(request.now / 1000) - base;
  const rules = lagsOf(workload, steps, services, request.margins ?? 'keep', out);
  const horizon = horizonOf(workload, steps, base, rules.offset, now, back);
  const span = { from: base - horizon - 1, to: base + 1 };
  const fromBase = (stretch: Stretch): Stretch => ({ from: stretch.from - base, to: stretch.to - base });
  const distances = closure(points, rules.lags);
  const [low, high] = firstBounds(points, distances, rules, Math.max(-horizon, now ?? -horizon));
  const { loads, runs } = ovenWork(workload, steps, out);
  return {
    workload,
    steps,
    base,
    now,
    distances,
    points,
    low,
    high,
    claims: claimsOn(workload, steps, out),
    loads,
    runs,
    ovens: workload.kitchen.ovens,
    ambient: workload.kitchen.ambient,
    closed: closed(workload, span).map(fromBase),
    nights: nights(workload, span).map(fromBase),
    keepsHours: steps.map(({ id, hands }) => hands !== 'free' && !out.has(`hours ${id}`)),
    waits: rules.waits,
    levels: levelNames(workload, request.prefer),
    circular: Array.from({ length: points }, (_, p) => distances[p * points + p] ?? 0).some((way) => way > 0),
  };
}

/** Least and greatest whole seconds that a step may last. */
export function lengthOf({ length }: Step): { readonly least: number; readonly most: number } {
  if (length.kind !== 'rest') {
    const usual = Math.ceil(length.range.usual);
    return { least: usual, most: usual };
  }
  const least = Math.ceil(length.atLeast);
  return { least, most: length.atMost === undefined ? Infinity : Math.max(least, Math.floor(length.atMost)) };
}

interface Lag {
  readonly from: number;
  readonly to: number;
  readonly least: number;
}

interface TimeRules {
  readonly lags: readonly Lag[];
  readonly latest: readonly { readonly point: number; readonly at: number }[];
  readonly earliest: readonly { readonly point: number; readonly at: number }[];
  readonly waits: readonly Wait[];
  /** The earliest moment by which a plan's work has to be over. */
  readonly offset: number;
}

function lagsOf(
  workload: Workload,
  steps: readonly Step[],
  services: readonly number[],
  margins: 'keep' | 'drop',
  out: GivingRules,
): TimeRules {
  const lags: Lag[] = [];
  const latest: { point: number; at: number }[] = [];
  const earliest: { point: number; at: number }[] = [];
  const waits: Wait[] = [];
  const start = (step: Step): number => 2 * steps.indexOf(step);
  const end = (step: Step): number => start(step) + 1;
  const atLeast = (from: number, to: number, least: number): number => lags.push({ from, to, least });
  for (const step of steps) {
    const { least, most } = lengthOf(step);
    atLeast(start(step), end(step), least);
    if (most === least || (most < Infinity && !out.has(`rests at most ${step.id}`)))
      atLeast(end(step), start(step), -most);
    for (const id of step.needs)
      for (const needed of steps) if (needed.id === id) atLeast(end(needed), start(step), 0);
  }
  for (const component of workload.components) {
    component.steps.forEach((step, place) => {
      const before = component.steps[place - 1];
      if (!before) return;
      const after = Math.ceil(step.after);
      atLeast(end(before), start(step), after);
      if (step.within === undefined || out.has(`within ${step.id}`)) return;
      const floor = Math.floor(step.within);
      atLeast(start(step), end(before), -(step.within >= step.after ? Math.max(after, floor) : floor));
      waits.push({ from: end(before), to: start(step), until: NaN, weight: weightOf(step.within) });
    });
    const last = component.steps.at(-1);
    const service = services[component.plan] ?? NaN;
    const margin = margins === 'keep' ? Math.ceil(workload.plans[component.plan]?.margin ?? 0) : 0;
    for (const step of component.steps) latest.push({ point: end(step), at: service - margin });
    if (!last || component.keeps === undefined) continue;
    const [keeps, weight] = [Math.floor(component.keeps), weightOf(component.keeps)];
    const users = steps.filter((step) => step.needs.includes(last.id));
    for (const user of users) {
      if (out.has(`keeps ${last.id} until ${user.id}`)) continue;
      atLeast(end(user), end(last), -keeps);
      waits.push({ from: end(last), to: end(user), until: NaN, weight });
    }
    if (users.length > 0 || out.has(`keeps ${last.id} until service`)) continue;
    earliest.push({ point: end(last), at: service - keeps });
    waits.push({ from: end(last), to: undefined, until: service, weight });
  }
  return { lags, latest, earliest, waits, offset: Math.min(0, ...latest.map(({ at }) => at)) };
}

/** The greatest sum of least distances from each point to each other. */
function closure(points: number, lags: readonly Lag[]): Float64Array {
  const ways = new Float64Array(points * points).fill(NEVER);
  for (let p = 0; p < points; p += 1) ways[p * points + p] = 0;
  for (const { from, to, least } of lags)
    ways[from * points + to] = Math.max(ways[from * points + to] ?? NEVER, least);
  for (let by = 0; by < points; by += 1)
    for (let p = 0; p < points; p += 1)
      for (let q = 0; q < points; q += 1) {
        const way = (ways[p * points + by] ?? NEVER) + (ways[by * points + q] ?? NEVER);
        if (way > (ways[p * points + q] ?? NEVER)) ways[p * points + q] = way;
      }
  return ways;
}

function firstBounds(
  points: number,
  distances: Float64Array,
  { latest, earliest }: TimeRules,
  floor: number,
): [Int32Array, Int32Array] {
  const low = new Int32Array(points).fill(floor);
  const high = new Int32Array(points).fill(0);
  const apart = (p: number, q: number): number => distances[p * points + q] ?? NEVER;
  for (let q = 0; q < points; q += 1) {
    for (const { point, at } of latest)
      high[q] = Math.min(high[q] ?? 0, at - Math.max(apart(q, point), -1e9));
    for (const { point, at } of earliest)
      low[q] = Math.max(low[q] ?? 0, at + Math.max(apart(point, q), -1e9));
    for (let p = 0; p < points; p += 1) low[q] = Math.max(low[q] ?? 0, floor + Math.max(apart(p, q), -1e9));
  }
  return [low, high];
}

/**
 * How far back a best timetable can reach. Between its first and its last moment something stands at its least at every
 * moment (a length, a wait from below, a change of the oven), or else all that is earlier could move a second later and
 * nothing would be worse; except where that would move hands into a night or out of their hours: there it begins anew.
 */
function horizonOf(
  workload: Workload,
  steps: readonly Step[],
  base: number,
  offset: number,
  now: number | undefined,
  back: number,
): number {
  let pins = 0;
  for (const step of steps)
    pins += lengthOf(step).least + Math.ceil(step.after) + longestChange(workload, steps, step);
  let horizon = Math.max(pins - offset, back);
  for (let grown = true; grown;) {
    grown = false;
    const span = { from: base - horizon - 1, to: base + 1 };
    for (const { from } of [...nights(workload, span), ...uncutClosed(workload, span)]) {
      if (base - from + pins <= horizon || from >= base) continue;
      horizon = base - from + pins;
      grown = true;
    }
    if (horizon > FURTHEST) break;
  }
  if (now !== undefined) return Math.min(horizon, Math.max(0, -now));
  if (horizon > FURTHEST) throw new RangeError(`${horizon} s are too far to search: say when now is`);
  return horizon;
}

/** Closed stretches that touch the span, with their true beginnings as far as the oracle may look. */
function uncutClosed(workload: Workload, span: Stretch): Stretch[] {
  return closed(workload, { from: span.from - 2 * FURTHEST, to: span.to }).filter(({ to }) => to > span.from);
}

function longestChange({ kitchen }: Workload, steps: readonly Step[], step: Step): number {
  if (step.oven?.heat.kind !== 'at') return 0;
  const to = step.oven.heat.temperature.celsius;
  const others = steps.flatMap(({ oven }) =>
    oven?.heat.kind === 'at' ? [oven.heat.temperature.celsius] : [],
  );
  return Math.max(
    0,
    ...kitchen.ovens.flatMap((oven) =>
      [undefined, ...others].map((from) => changing(oven, kitchen.ambient, from, to)),
    ),
  );
}

/** Whole seconds from one state of an oven to another. */
export function changing(
  oven: Oven,
  ambient: number,
  from: number | undefined,
  to: number | undefined,
): number {
  if (to === undefined) return 0;
  if (from === undefined) return fromCold(oven, ambient, to);
  if (Math.abs(to - from) <= oven.tolerance) return 0;
  return to > from
    ? Math.ceil(heatingTime(oven, ambient, from, to) + oven.soak)
    : Math.ceil(coolingTime(oven, ambient, from, to));
}

/** Oven steps, and which of them go together: those in a row, unless they name different ovens. */
function ovenWork(
  workload: Workload,
  steps: readonly Step[],
  out: GivingRules,
): { loads: Load[]; runs: Run[] } {
  const loads: Load[] = [];
  const runs: Run[] = [];
  for (const component of workload.components) {
    const names = ovenNames(component.steps);
    component.steps.forEach((step, place) => {
      if (!step.oven) return;
      const follows = place > 0 && component.steps[place - 1]?.oven !== undefined;
      const leads = component.steps[place + 1]?.oven !== undefined;
      const number = loads.length;
      const sameOven = follows && names[place - 1] === names[place];
      if (!sameOven) runs.push({ loads: [], candidates: [] });
      const run = runs.length - 1;
      loads.push({
        step: steps.indexOf(step),
        run,
        celsius: step.oven.heat.kind === 'at' ? step.oven.heat.temperature.celsius : undefined,
        shut: step.oven.door === 'shut',
        alone: step.oven.heat.kind === 'off' || step.oven.door === 'ajar',
        shelves: step.oven.shelves,
        asks: !out.has(`oven ${step.id}`),
        before: follows ? number - 1 : undefined,
        after: leads ? number + 1 : undefined,
      });
      runs[run] = {
        loads: [...(runs[run]?.loads ?? []), number],
        candidates: workload.kitchen.ovens.flatMap((oven, index) =>
          names[place] === undefined || names[place] === oven.name ? [index] : [],
        ),
      };
    });
  }
  return { loads, runs };
}

/** The oven each step names, or the one named nearest before it among oven steps in a row, or else the nearest after it. */
function ovenNames(steps: readonly Step[]): (string | undefined)[] {
  const names = steps.map((step) => step.oven?.oven);
  steps.forEach((step, place) => {
    if (step.oven && steps[place - 1]?.oven) names[place] ??= names[place - 1];
  });
  for (let place = steps.length - 2; place >= 0; place -= 1)
    if (steps[place]?.oven && steps[place + 1]?.oven) names[place] ??= names[place + 1];
  return names;
}
