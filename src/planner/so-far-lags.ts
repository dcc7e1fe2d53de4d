import { startOf, endOf, type Lag, type Point } from './core/index.ts';
import type { Extraction } from './extract.ts';
import type { Rule } from './rules.ts';
import type { Adding, Standing, Stretched, Yielding } from './so-far.ts';

/**
 * The distances that still ask something. Windows that can no longer be kept, and all windows where they may give way, are
 * replaced by a point that shows by how much they are stretched.
 */
export function lagsSoFar(
  extraction: Extraction,
  standing: Standing,
  adding: Adding,
  yielding: Yielding,
): { readonly lags: readonly Lag[]; readonly windows: readonly Stretched[] } {
  const { problem, rules } = extraction;
  const isWindow = ({ rule }: Lag): boolean => WINDOWS.has(rules[rule]?.kind);
  const open = problem.lags.filter((lag) => asksSomething(lag, rules[lag.rule], isWindow(lag), standing));
  const earliest = earliestTimes(
    adding,
    open.filter((lag) => !isWindow(lag)),
    standing,
  );
  const lags: Lag[] = [];
  const windows: Stretched[] = [];
  for (const lag of open) {
    const limit = standing.fixed.get(lag.to);
    const missed = limit !== undefined && (earliest[lag.from] ?? 0) + lag.weight > limit;
    if (!isWindow(lag) || !(missed || yielding.windows === 'give')) {
      lags.push(lag);
      continue;
    }
    const stretched = startOf(adding.add({}));
    adding.lag(lag.to, stretched);
    adding.lag(lag.from, stretched, lag.weight);
    windows.push({ rule: lag.rule, limit: lag.to, stretched });
  }
  return { lags: [...lags, ...heldStarts(standing, adding)], windows };
}

const WINDOWS: ReadonlySet<Rule['kind'] | undefined> = new Set(['within', 'keeps', 'rests at most'] as const);

/** Not between points that stand still, nor for what has happened without it. */
function asksSomething(lag: Lag, rule: Rule | undefined, isWindow: boolean, { fixed }: Standing): boolean {
  if (fixed.has(lag.from) && fixed.has(lag.to)) return false;
  if (rule?.kind === 'begin') return !fixed.has(lag.to);
  return isWindow || !fixed.has(lag.to);
}

/** A rest that is under way began when it did: its activity alone only says that it began no sooner. */
function heldStarts({ fixed, soonest }: Standing, adding: Adding): Lag[] {
  return [...soonest.keys()].map((activity) => {
    const start = fixed.get(startOf(activity)) ?? 0;
    return {
      from: startOf(activity),
      to: startOf(adding.add({ release: start, due: start })),
      weight: 0,
      rule: -1,
    };
  });
}

/** No schedule has a point earlier than this: what follows from what has happened, and from now. */
function earliestTimes({ activities }: Adding, lags: readonly Lag[], { now, fixed }: Standing): Float64Array {
  const times = new Float64Array(2 * activities.length).fill(-Infinity);
  const lengths: Lag[] = [];
  activities.forEach(({ least, release }, activity) => {
    const start = startOf(activity);
    times[start] = fixed.has(start) || release !== undefined ? (release ?? now) : now;
    lengths.push({ from: start, to: endOf(activity), weight: least, rule: -1 });
  });
  for (let round = 0; round < times.length; round += 1) {
    let moved = false;
    for (const { from, to, weight } of [...lengths, ...lags]) {
      const time = (times[from] ?? 0) + weight;
      if (time <= (times[to] ?? 0) || fixed.has(to as Point)) continue;
      times[to] = time;
      moved = true;
    }
    if (!moved) break;
  }
  for (const [point, time] of fixed) times[point] = time;
  return times;
}
