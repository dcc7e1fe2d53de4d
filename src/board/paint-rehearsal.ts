import { cutLine, line, widthOf, type Line } from './lines.ts';
import type { Playing } from './rehearsing.ts';
import type { ScreenContext } from './ui.ts';

/**
 * The topmost row of a rehearsal, and of nothing else: that it is one, how it goes, its time, and its keys as far as they fit.
 * Nothing where the run is live.
 */
export function paintRehearsal({ playing }: ScreenContext, clock: string, width: number): Line[] {
  if (!playing) return [];
  const keys = [playing.stopped ? '0 go' : '0 stop', 'Enter on', 'Backspace back', '+ - speed'];
  const whole = [' REHEARSAL', goes(playing), `simulated ${clock}`];
  const choices = [
    ...keys.map((_, left) => [...whole, ...keys.slice(0, keys.length - left)].join('  ')),
    [' REHEARSAL', goes(playing), clock].join('  '),
  ];
  const text = choices.find((each) => widthOf(line(each)) <= width) ?? choices.at(-1) ?? '';
  const row = cutLine(line(text, { inverse: true, bold: true }), width);
  return [[...row, { text: ' '.repeat(width - widthOf(row)), inverse: true }]];
}

/** How fast it goes, or that it stands. */
const goes = ({ speed, stopped }: Playing): string =>
  stopped ? 'STOPPED' : speed === 1 ? 'real time' : `${Number(speed.toPrecision(3))} times life`;
