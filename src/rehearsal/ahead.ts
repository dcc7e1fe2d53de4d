import {
  answer,
  bodiesOf,
  certainClashes,
  handsKey,
  nextDeadline,
  suppose,
  supposed,
  type BenchEvent,
  type BenchState,
  type Clash,
  type ForecastClash,
  type Happening,
} from '../bench/index.ts';
import type { Step, StepId } from '../plan/index.ts';
import { later, plus, seconds, secondsBetween, type EpochMs, type Seconds } from '../units/index.ts';
import { chance, triangular } from './chance.ts';
import { emptiedAt, freeSince, sceneOf, type Going } from './hands.ts';

export interface AheadOptions {
  readonly seed: number;
  /** How many cases are played. Default 64, and fewer, but no fewer than 32, where each of them is long. */
  readonly samples?: number;
}

const SAMPLES = 64;
const FEWEST = 32;
/** Events of all cases together after which no more than the fewest are played. */
const MOST_WORK = 8000;
/** What lies further ahead than this changes before anybody could act on it. */
const HORIZON_S = 5400;
/** A case that has not come so far by then is left as it stands. */
const MOST_EVENTS = 1000;
/** More than these nobody reads. */
const MOST_TOLD = 20;
/** A cook who follows the board answers after so long. */
const PROMPT = { soonest: 3, latest: 20 } as const;

/**
 * What clashes lie ahead of a run, over the ranges of all that is open: some dozens of cases are played from here with the
 * real bench, by a cook who does what is called and takes no new timetable; what is going is drawn from what its range and
 * its readings still leave. A clash counts in a case when it is there, not when it is feared. What can be shown to happen
 * whatever the lengths is `certain`.
 *
 * The same state, moment and seed give the same answer.
 *
 * @returns the twenty most likely at most, the soonest first.
 */
export function lookAhead(state: BenchState, now: EpochMs, options: AheadOptions): readonly ForecastClash[] {
  const { samples, seen } = playCases(state, now, options);
  const possible = new Map(
    [...seen].map(([key, cases]): [string, ForecastClash] => {
      const sorted = cases.toSorted((a, b) => a.at - b.at);
      const [soonest, middle] = [sorted[0], sorted[Math.floor(sorted.length / 2)]];
      if (!soonest || !middle) throw new Error('a clash in no case');
      const { kind, steps, why } = middle;
      return [
        key,
        { key, kind, steps, why, chance: cases.length / samples, soonest: soonest.at, usual: middle.at },
      ];
    }),
  );
  for (const clash of certainClashes(state, now)) {
    const played = possible.get(clash.key);
    possible.set(clash.key, played ? { ...clash, soonest: played.soonest, usual: played.usual } : clash);
  }
  const share = (clash: ForecastClash): number => (clash.chance === 'certain' ? 2 : clash.chance);
  return [...possible.values()]
    .toSorted((a, b) => share(b) - share(a))
    .slice(0, MOST_TOLD)
    .toSorted((a, b) => a.soonest - b.soonest);
}

/** Plays the cases: how many, and for each clash, by its key, how it was first there in each case that had it. */
export function playCases(
  state: BenchState,
  now: EpochMs,
  { seed, samples: most = SAMPLES }: AheadOptions,
): { readonly samples: number; readonly seen: ReadonlyMap<string, readonly Clash[]> } {
  const seen = new Map<string, Clash[]>();
  const from = supposed(state);
  let [samples, work] = [0, 0];
  for (; samples < most && (work < MOST_WORK || samples < FEWEST); samples += 1) {
    const { found, events } = playOn(from, now, seed + samples * 7919);
    work += events;
    for (const [key, clash] of found) seen.set(key, [...(seen.get(key) ?? []), clash]);
  }
  return { samples, seen };
}

/** Names a clash whichever of two has the hands first, and whatever it is that keeps an oven from a load. */
function keyOf({ kind, steps }: Clash): string {
  return kind === 'hands' ? handsKey(...steps) : `oven ${steps.at(-1)}`;
}

/** Plays one case to its end: which clashes were there, each as it was first. */
function playOn(
  from: BenchState,
  now: EpochMs,
  seed: number,
): { readonly found: ReadonlyMap<string, Clash>; readonly events: number } {
  const steps = new Map<StepId, Step>(
    from.setup.workload.components.flatMap((component) => component.steps.map((step) => [step.id, step])),
  );
  const found = new Map<string, Clash>();
  const luck: Luck = { seed, from, now };
  let state = from;
  let time = now;
  let events = 0;
  const end = plus(now, HORIZON_S);
  while (events < MOST_EVENTS && state.servedAt === undefined && time <= end) {
    events += 1;
    const act = nextAct(state, time, steps, luck);
    const deadline = nextDeadline(state);
    const isClock = deadline !== undefined && (!act || deadline <= act.at);
    if (!isClock && !act) break;
    time = later(time, isClock ? deadline : (act?.at ?? time));
    const stamp = { id: `ahead-${events}`, time, source: isClock ? 'clock' : 'rehearsal' } as const;
    const event: BenchEvent = isClock || !act ? { ...stamp, kind: 'clock' } : { ...stamp, ...act.happening };
    const next = suppose(state, event);
    // A cook who is told that something cannot be does not try for ever.
    if (!next) break;
    state = next.state;
    for (const clash of next.clashes) if (!found.has(keyOf(clash))) found.set(keyOf(clash), clash);
  }
  return { found, events };
}

/** What a case is drawn from: its seed, and how the run stood when the look ahead began. */
interface Luck {
  readonly seed: number;
  readonly from: BenchState;
  readonly now: EpochMs;
}

interface Act {
  readonly at: EpochMs;
  readonly happening: Happening;
}

/** What the cook does next: ends what is done, and answers what is called. */
function nextAct(
  state: BenchState,
  now: EpochMs,
  steps: ReadonlyMap<StepId, Step>,
  luck: Luck,
): Act | undefined {
  const scene = sceneOf(state, steps);
  const delay = (about: string): number =>
    PROMPT.soonest + (PROMPT.latest - PROMPT.soonest) * chance(luck.seed, 'ahead delay', about);
  const ends = scene.going.flatMap((going): Act[] => {
    const at = endOf(going, state, luck);
    return at === undefined
      ? []
      : [{ at, happening: { kind: 'done', step: going.step.id, at: later(at, now) } }];
  });
  const answers = state.calls.flatMap((call): Act[] => {
    const { asks } = call;
    if (asks.kind === 'done') return [];
    const step = asks.kind === 'start' ? steps.get(asks.step) : undefined;
    const free = asks.kind === 'start' ? step && freeSince(step, scene) : call.due;
    if (free === undefined) return [];
    const empty = asks.kind === 'oven set' ? emptiedAt(asks.oven, scene) : call.due;
    const wait = asks.kind === 'served' ? 0 : delay(call.key);
    const at = later(plus([call.due, free, empty].reduce(later), wait), now);
    return [{ at, happening: answer(call, at) }];
  });
  return [...ends, ...answers].reduce<Act | undefined>(
    (first, act) => (first && first.at <= act.at ? first : act),
    undefined,
  );
}

/** When a step under way ends in this case; nothing where the clock ends it. */
function endOf(
  { step, run, attempt }: Going,
  { timetable }: BenchState,
  { seed, from, now }: Luck,
): EpochMs | undefined {
  const { length, until } = step;
  const luck = chance(seed, 'ahead', step.id, attempt);
  const there = readBy(from, step.id, luck);
  if (length.kind === 'rest') {
    const told = timetable.steps.find((planned) => planned.step === step.id)?.end ?? now;
    const enough = plus(run.startedAt, length.atLeast + run.extra);
    return [told, enough, there ?? enough].reduce(later);
  }
  if (length.kind === 'takes' && length.range.low === length.range.high && !until) return undefined;
  if (there !== undefined) return there;
  // What began before the look ahead has lasted so long already.
  const passed = Math.max(0, secondsBetween(run.startedAt, now) - run.extra);
  return plus(run.startedAt, stillDrawn(length.range, passed, luck) + run.extra);
}

/** A length of a range that is longer than what has passed of it; past its end, some minutes more. */
function stillDrawn(range: Parameters<typeof triangular>[0], passed: number, luck: number): Seconds {
  if (passed >= range.high) return seconds(passed + 30 + 270 * luck);
  // The share of the range that lies behind, by halving: the distribution rises, so this is safe.
  let [low, high] = [0, 1];
  for (let round = 0; round < 24; round += 1) {
    const middle = (low + high) / 2;
    if (triangular(range, middle) < passed) low = middle;
    else high = middle;
  }
  return seconds(Math.max(passed, triangular(range, low + (1 - low) * luck)));
}

/** When a body that is being read is there, drawn from its predicted range; nothing where there is none. */
function readBy(state: BenchState, step: StepId, luck: number): EpochMs | undefined {
  const moments = bodiesOf(state).flatMap(({ step: of, prediction }) => {
    if (of !== step || prediction.kind !== 'expected') return [];
    const { low, usual, high } = prediction;
    const spread = luck < 0.5 ? secondsBetween(low, usual) : secondsBetween(usual, high);
    return [plus(usual, ((luck - 0.5) / 0.4) * spread)];
  });
  return moments.length === 0 ? undefined : moments.reduce(later);
}
