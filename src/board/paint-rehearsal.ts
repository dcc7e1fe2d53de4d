import { cells, clean } from '../view/index.ts';
import type { Mishap } from '../rehearsal/index.ts';
import { BLANK, cutLine, ends, line, widthOf, type Line } from './lines.ts';
import { mishapWords } from './rehearsal-keys.ts';
import type { Playing } from './rehearsing.ts';
import type { ScreenContext } from './ui.ts';

/** More things than this at once are counted. */
const MOST_SIGHTS = 2;

/** A part of the topmost row. What is needed most (the least `rank`) keeps its place on a narrow screen. */
interface Part {
  readonly text: string;
  readonly rank: number;
}

/**
 * The topmost rows of a rehearsal, and of nothing else: that it is one, how it goes, and its keys as far as they fit, those
 * that are needed most before others; below, what there is to be seen for whoever has hands of their own. Nothing where the
 * run is live.
 */
export function paintRehearsal({ playing }: ScreenContext, clock: string, width: number): Line[] {
  if (!playing) return [];
  const parts: readonly Part[] = [
    { text: ' REHEARSAL', rank: 0 },
    ...(playing.hands === 'mine' ? [{ text: 'your hands', rank: 4 }] : []),
    { text: goes(playing), rank: playing.stopped ? 1 : 5 },
    { text: playing.stopped ? '0 go' : '0 stop', rank: 2 },
    { text: 'Enter on', rank: 6 },
    { text: 'Bksp back', rank: 7 },
    { text: 'e wrong', rank: 3 },
    { text: '+ - speed', rank: 8 },
    { text: `simulated ${clock}`, rank: 9 },
  ];
  const row = line(fitting(parts, width), { inverse: true, bold: true });
  return [
    [...row, { text: ' '.repeat(width - widthOf(row)), inverse: true }],
    ...playing.sees.slice(0, MOST_SIGHTS).map((sight, index, shown) => {
      const more = index === shown.length - 1 ? playing.sees.length - shown.length : 0;
      return ends(
        [{ text: index === 0 ? ' you see  ' : '          ' }, { text: clean(sight), bold: true }],
        more > 0 ? line(`and ${more} more`) : [],
        width,
      );
    }),
  ];
}

/** What can be made to go wrong, by figures, while somebody chooses. */
export function paintMishaps(choices: readonly Mishap[], width: number, rows: number): Line[] {
  const list = mishapWords(choices).map((text) => cutLine(line(`   ${text}`), width));
  const head = [
    BLANK,
    line(' WHAT GOES WRONG', { bold: true }),
    cutLine(line(' the simulated clock stands still meanwhile'), width),
    BLANK,
  ];
  // Where not all fits, what can be chosen comes first.
  return [...(head.length + list.length <= rows ? head : []), ...list].slice(0, rows);
}

/** The parts in their order, two spaces between them: as many as fit, the ones of the least rank first. */
function fitting(parts: readonly Part[], width: number): string {
  const kept = new Set<Part>();
  const words = (): string => parts.flatMap((part) => (kept.has(part) ? [part.text] : [])).join('  ');
  for (const part of parts.toSorted((a, b) => a.rank - b.rank)) {
    kept.add(part);
    if (cells(words()) > width) kept.delete(part);
  }
  return words();
}

/** How fast it goes, or that it stands. */
const goes = ({ speed, stopped }: Playing): string =>
  stopped ? 'STOPPED' : speed === 1 ? 'real time' : `${Number(speed.toPrecision(3))}x life`;
