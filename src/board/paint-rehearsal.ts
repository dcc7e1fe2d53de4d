import { clean } from '../view/index.ts';
import type { Mishap } from '../rehearsal/index.ts';
import { BLANK, cutLine, ends, line, widthOf, type Line } from './lines.ts';
import { mishapWords } from './rehearsal-keys.ts';
import type { Playing } from './rehearsing.ts';
import type { ScreenContext } from './ui.ts';

/** More things than this at once are counted. */
const MOST_SIGHTS = 2;

/**
 * The topmost rows of a rehearsal, and of nothing else: that it is one, how it goes, its time, and its keys as far as they fit;
 * below, what there is to be seen for whoever has hands of their own. Nothing where the run is live.
 */
export function paintRehearsal({ playing }: ScreenContext, clock: string, width: number): Line[] {
  if (!playing) return [];
  const keys = [playing.stopped ? '0 go' : '0 stop', 'Enter on', 'Bksp back', 'e wrong', '+ - speed'];
  const what = playing.hands === 'mine' ? ' REHEARSAL, your hands' : ' REHEARSAL';
  const whole = [what, goes(playing), `simulated ${clock}`];
  const choices = [
    ...keys.map((_, left) => [...whole, ...keys.slice(0, keys.length - left)].join('  ')),
    [what, goes(playing), clock].join('  '),
    [' REHEARSAL', goes(playing), clock].join('  '),
  ];
  const text = choices.find((each) => widthOf(line(each)) <= width) ?? choices.at(-1) ?? '';
  const row = cutLine(line(text, { inverse: true, bold: true }), width);
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

/** How fast it goes, or that it stands. */
const goes = ({ speed, stopped }: Playing): string =>
  stopped ? 'STOPPED' : speed === 1 ? 'real time' : `${Number(speed.toPrecision(3))}x life`;
