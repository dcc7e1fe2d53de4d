import type { Hands } from '../../plan/index.ts';
import type { EpochMs } from '../../units/index.ts';
import { within, yOf, type Axis } from './axis.ts';
import { element, figure, line, rect } from './xml.ts';

/** How hands are told apart without colour: black, hatched, empty. */
export const FILLS: Readonly<Record<Hands, string>> = { busy: '#000', near: 'url(#near)', free: '#fff' };

/** A bar for a stretch of time; open where a band interrupts it. */
export function bar(axis: Axis, at: EpochMs, end: EpochMs, x: number, width: number, hands: Hands): string {
  return axis.segments
    .map((segment) => {
      const part = within(segment, at, end);
      if (!part) return '';
      const [top, bottom] = [yOf(segment, part.at), yOf(segment, part.end)];
      const [left, right] = [x, x + width].map(figure);
      const sides = `M${left} ${figure(bottom)}V${figure(top)}M${right} ${figure(top)}V${figure(bottom)}`;
      const ends = `${part.at === at ? `M${left} ${figure(top)}H${right}` : ''}${part.end === end ? `M${left} ${figure(bottom)}H${right}` : ''}`;
      return (
        rect(x, top, width, bottom - top, { fill: FILLS[hands] }) +
        element('path', { class: 'edge', d: sides + ends })
      );
    })
    .join('');
}

/** A dotted line where something waits. */
export function waiting(axis: Axis, at: EpochMs, end: EpochMs, x: number): string {
  return axis.segments
    .map((segment) => {
      const part = within(segment, at, end);
      return part ? line(x, yOf(segment, part.at), x, yOf(segment, part.end), { class: 'wait' }) : '';
    })
    .join('');
}
