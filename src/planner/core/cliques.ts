/** So many times as many sets are grown as are wanted. */
const TRIED = 3;

/**
 * Sets of which every two are linked, grown from links that matter and are not in a set yet, always by the heaviest that is linked to all.
 * Links that do not matter only help a set to grow. At most so many sets, those with most links that matter.
 */
export function cliques(
  count: number,
  link: (a: number, b: number) => 'none' | 'settled' | 'open',
  weight: (node: number) => number,
  most: number,
): number[][] {
  const links = new Uint8Array(count * count);
  const open = new Int32Array(count);
  for (let a = 0; a < count; a += 1)
    for (let b = 0; b < count; b += 1) {
      const kind = a === b ? 'none' : link(a, b);
      links[a * count + b] = kind === 'open' ? 2 : kind === 'settled' ? 1 : 0;
      if (kind === 'open') open[a] = (open[a] ?? 0) + weight(b);
    }
  const covered = new Uint8Array(count * count);
  const order = Array.from({ length: count }, (_, i) => i).toSorted(
    (a, b) => (open[b] ?? 0) - (open[a] ?? 0) || a - b,
  );
  const found: { readonly clique: number[]; readonly worth: number }[] = [];
  for (const a of order)
    for (const b of order) {
      if (links[a * count + b] !== 2 || covered[a * count + b] === 1 || found.length >= TRIED * most)
        continue;
      const clique = [a];
      let left = [b, ...order.filter((c) => c !== b)].filter((c) => (links[a * count + c] ?? 0) > 0);
      for (let [next, ...others] = left; next !== undefined; [next, ...others] = left) {
        const row = next * count;
        clique.push(next);
        left = others.filter((c) => (links[row + c] ?? 0) > 0);
      }
      let worth = 0;
      for (const one of clique)
        for (const other of clique) {
          covered[one * count + other] = 1;
          if (links[one * count + other] === 2) worth += 1;
        }
      if (clique.length > 2 && worth > 2) found.push({ clique, worth });
    }
  return found
    .toSorted((a, b) => b.worth - a.worth)
    .slice(0, most)
    .map(({ clique }) => clique);
}
