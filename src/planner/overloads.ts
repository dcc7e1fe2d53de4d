import type { Choice, Latest, Standing } from './conflict.ts';
import type { Block } from './problem.ts';

/** Ways of which one must hold for a set of blocks that are too much together: one lies before another, or one is empty. */
function apart(blocks: readonly Block[]): Choice[] {
  const choices: Choice[] = [];
  for (const block of blocks) {
    for (const other of blocks)
      if (other !== block) choices.push({ edges: [{ from: block.to, to: other.from, weight: 0 }] });
    if (block.mayVanish) choices.push({ edges: [{ from: block.to, to: block.from, weight: 0 }] });
  }
  return choices;
}

/** What a block costs that is put in order twice, beside one that is only looked at. */
const SORTING = 10;

/** Wherever a block begins and more is taken than there is: a smallest set around it that is too much. */
export function overloads(
  { latest, tally }: Pick<Standing, 'latest' | 'tally'>,
  blocks: readonly Block[],
  capacity: number,
  found: Latest,
): void {
  const at = (point: number): number => latest[point] ?? 0;
  const taken = blocks.filter((block) => block.amount > 0 && at(block.to) > at(block.from));
  tally.looks += blocks.length + SORTING * taken.length;
  if (taken.length === 0) return;
  const byStart = taken.toSorted((a, b) => at(a.from) - at(b.from));
  const byEnd = taken.toSorted((a, b) => at(a.to) - at(b.to));
  let total = 0;
  let ended = 0;
  byStart.forEach((block, place) => {
    const time = at(block.from);
    for (let next = byEnd[ended]; next && at(next.to) <= time; next = byEnd[ended]) {
      total -= next.amount;
      ended += 1;
    }
    total += block.amount;
    if (total <= capacity || !found.wants(time)) return;
    const running = (): Block[] => byStart.slice(0, place + 1).filter((other) => at(other.to) > time);
    found.add({ time, choices: () => apart(smallestTooMuch(running(), block, capacity)) });
  });
}

function smallestTooMuch(running: readonly Block[], newest: Block, capacity: number): Block[] {
  const others = running.filter((block) => block !== newest).toSorted((a, b) => b.amount - a.amount);
  const chosen = [newest];
  let total = newest.amount;
  for (const block of others) {
    if (total > capacity) break;
    chosen.push(block);
    total += block.amount;
  }
  // The biggest come first, so only the newest can be more than is needed.
  const needed = total - newest.amount > capacity ? chosen.slice(1) : chosen;
  // In order of time, then of the problem, so that among equal ways the one that keeps that order is tried first.
  return running.filter((block) => needed.includes(block));
}
