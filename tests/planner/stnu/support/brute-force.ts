import type { UncertainNetwork } from '../../../../src/planner/stnu/index.ts';

/**
 * Dynamic controllability as a game in whole seconds, by trying everything: at each second nature first ends what it likes of
 * what is under way (what is at its longest it must end), then whoever executes, having seen that, starts what they like. They win when every
 * point has its time and no link is broken. Shares nothing with the library: no distances, no derived links.
 */
export function isControllable({ points, links, contingent }: UncertainNetwork, horizon: number): boolean {
  const byEnd = new Map(contingent.map((link) => [link.end, link]));
  const own = Array.from({ length: points }, (_, point) => point).filter((point) => !byEnd.has(point));
  const seen = new Map<string, boolean>();

  /** No link is broken yet, counting that what has no time comes at `now` at the earliest. */
  const isSound = (times: readonly number[], now: number): boolean =>
    links.every(({ from, to, weight }) => {
      const [a, b] = [times[from] ?? -1, times[to] ?? -1];
      if (b >= 0) return a >= 0 ? b - a <= weight : true;
      return a >= 0 ? now - a <= weight : true;
    });

  const natureMoves = (times: readonly number[], now: number): boolean => {
    if (times.every((time) => time >= 0)) return true;
    if (now > horizon) return false;
    const key = `${now} ${times.join(' ')}`;
    const known = seen.get(key);
    if (known !== undefined) return known;
    if (seen.size > 200_000) throw new Error('a game with too many positions');
    const may: number[] = [];
    const must: number[] = [];
    for (const { start, end, low, high } of contingent) {
      const begun = times[start] ?? -1;
      if (begun < 0 || (times[end] ?? -1) >= 0) continue;
      if (now - begun === high) must.push(end);
      else if (now - begun >= low) may.push(end);
    }
    let wins = true;
    for (let choice = 0; wins && choice < 1 << may.length; choice += 1) {
      const next = [...times];
      for (const end of must) next[end] = now;
      may.forEach((end, bit) => {
        if (choice & (1 << bit)) next[end] = now;
      });
      wins = isSound(next, now) && weMove(next, now);
    }
    seen.set(key, wins);
    return wins;
  };

  const weMove = (times: readonly number[], now: number): boolean => {
    const free = own.filter((point) => (times[point] ?? -1) < 0);
    for (let choice = 0; choice < 1 << free.length; choice += 1) {
      const next = [...times];
      free.forEach((point, bit) => {
        if (choice & (1 << bit)) next[point] = now;
      });
      const after = next.every((time) => time >= 0) ? now : now + 1;
      if (isSound(next, after) && natureMoves(next, now + 1)) return true;
    }
    return false;
  };

  const start = Array.from({ length: points }, (_, point) => (point === 0 ? 0 : -1));
  return weMove(start, 0);
}
