import type { Lag } from './core/index.ts';

/**
 * Least distances that cannot all hold, because they go round in a circle and come out later than they began. Taking out
 * any of them breaks the circle. Nothing where the distances can be met.
 */
export function impossibleCycle(points: number, lags: readonly Lag[]): readonly Lag[] | undefined {
  const earliest = new Float64Array(points);
  const reachedBy: (Lag | undefined)[] = Array.from({ length: points });
  let moved: Lag | undefined;
  for (let round = 0; round <= points; round += 1) {
    moved = undefined;
    for (const lag of lags) {
      const time = (earliest[lag.from] ?? 0) + lag.weight;
      if (time <= (earliest[lag.to] ?? 0)) continue;
      earliest[lag.to] = time;
      reachedBy[lag.to] = lag;
      moved = lag;
    }
    if (!moved) return undefined;
  }
  return moved && circleThrough(moved, reachedBy, points);
}

/** Walks back far enough to be on the circle, then once round it. */
function circleThrough(start: Lag, reachedBy: readonly (Lag | undefined)[], points: number): readonly Lag[] {
  let on = start.to;
  for (let back = 0; back < points; back += 1) on = reachedBy[on]?.from ?? on;
  const circle: Lag[] = [];
  let point = on;
  do {
    const lag = reachedBy[point];
    if (!lag) break;
    circle.unshift(lag);
    point = lag.from;
  } while (point !== on);
  return circle;
}
