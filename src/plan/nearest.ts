/** Words longer than this are nobody's slip of the pen. */
const LONGEST_WORD = 60;

/** The known word that `word` was most likely meant to be, if one is near enough: at most a third of it mistyped. */
export function nearest(word: string, known: Iterable<string>): string | undefined {
  if (word.length > LONGEST_WORD) return undefined;
  const written = word.toLowerCase();
  let best: string | undefined;
  let bestDistance = Math.max(1, Math.floor(written.length / 3)) + 1;
  for (const candidate of known) {
    if (Math.abs(candidate.length - written.length) >= bestDistance) continue;
    const distance = slips(written, candidate.toLowerCase());
    if (distance < bestDistance) [best, bestDistance] = [candidate, distance];
  }
  return best;
}

/** How many single slips turn one word into the other: a letter missing, added, wrong, or two swapped (optimal string alignment). */
export function slips(from: string, to: string): number {
  let twoAgo: number[] = [];
  let previous = Array.from({ length: to.length + 1 }, (_, index) => index);
  for (let row = 1; row <= from.length; row += 1) {
    const current = [row];
    for (let column = 1; column <= to.length; column += 1) {
      const same = from[row - 1] === to[column - 1];
      let least = Math.min(
        (previous[column] ?? 0) + 1,
        (current[column - 1] ?? 0) + 1,
        (previous[column - 1] ?? 0) + (same ? 0 : 1),
      );
      const swapped =
        row > 1 && column > 1 && from[row - 1] === to[column - 2] && from[row - 2] === to[column - 1];
      if (swapped) least = Math.min(least, (twoAgo[column - 2] ?? 0) + 1);
      current.push(least);
    }
    [twoAgo, previous] = [previous, current];
  }
  return previous[to.length] ?? 0;
}

/** "did you mean tray?", or else what there is to choose from. */
export function suggest(word: string, known: readonly string[], otherwise: string): string {
  const near = nearest(word, known);
  if (near !== undefined) return `did you mean "${near}"?`;
  if (known.length === 0) return otherwise;
  const listed = known.slice(0, 12).join(', ');
  return `there is: ${listed}${known.length > 12 ? ', …' : ''}`;
}
