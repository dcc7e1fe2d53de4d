import { clockFrom, wallClock, type Celsius } from '../../units/index.ts';
import type { LaneDemand, OvenLane, Reach } from '../ovens.ts';
import { heatWords } from '../words.ts';
import type { Rundown } from '../rundown.ts';
import { within, yOf, type Axis } from './axis.ts';
import { labelWidth, LEAD, MARGIN, type Column } from './column.ts';
import { drawLabels, type Label } from './labels.ts';
import { text, widthOf, type Type } from './letters.ts';
import { element, figure, line, rect } from './xml.ts';

/** How wide the temperatures are drawn. */
const PLOT = 84;
const SCALE: Type = { size: 8 };

/**
 * An oven as its temperature, from cold on the left to hot on the right: what is asked of it as boxes up to that
 * temperature, and the line on which it warms and falls.
 */
export function ovenColumn(oven: OvenLane, sheet: Rundown): Column {
  const labels = labelsOf(oven, sheet.timeZone);
  return {
    heading: oven.name,
    under: `${oven.shelves} ${oven.shelves === 1 ? 'shelf' : 'shelves'}, cold to hot`,
    least: PLOT + LEAD + MARGIN + 104,
    grows: true,
    track: PLOT,
    labels,
    draw: (axis, x, width) =>
      [
        ...guides(axis, oven, x),
        ...oven.demands.map((demand) => demandBox(axis, oven, demand, x)),
        ...oven.course.map((reach) => drawReach(axis, oven, reach, x)),
        ...oven.settings.map(({ at }) => knob(axis, at, x)),
        drawLabels(axis, labels, {
          track: x + PLOT,
          x: x + PLOT + LEAD,
          width: labelWidth({ track: PLOT }, width),
        }),
      ].join(''),
  };
}

function labelsOf({ settings, demands }: OvenLane, timeZone: string): Label[] {
  const set = settings.map(({ at, hotBy, heat }) => ({
    at,
    time: wallClock(at, timeZone),
    name: heat.kind === 'off' ? 'set off' : `set ${heatWords(heat)}`,
    more: hotBy > at ? [`ready by ${clockFrom(hotBy, at, timeZone)}`] : [],
  }));
  const asked = demands.map(({ at, end, name, door, shelves, heat }) => ({
    at,
    time: wallClock(at, timeZone),
    name,
    more: [
      `${heatWords(heat)}, door ${door}${shelves === 1 ? '' : `, ${shelves} shelves`}`,
      `to ${clockFrom(end, at, timeZone)}`,
    ],
  }));
  // The setting is made before the tray goes in.
  return [...set, ...asked].toSorted((a, b) => a.at - b.at);
}

/** How far from the left a temperature lies; the room's is a little off the edge, so that it can be seen. */
function across({ ambient, demands, course }: OvenLane, temperature: Celsius): number {
  const hottest = Math.max(
    ambient + 100,
    ...demands.map(({ heat }) => (heat.kind === 'at' ? heat.temperature.celsius : ambient)),
    ...course.map(({ to }) => to),
  );
  return 6 + ((PLOT - 10) * Math.max(0, temperature - ambient)) / (hottest - ambient);
}

/** Fine lines at each temperature that is asked for, with its figure where two do not touch. */
function guides(axis: Axis, oven: OvenLane, x: number): string[] {
  const asked = new Map(
    oven.demands.flatMap(({ heat }) =>
      heat.kind === 'at' ? [[heatWords(heat), heat.temperature.celsius]] : [],
    ),
  );
  let free = Infinity;
  return [...asked]
    .toSorted(([, a], [, b]) => b - a)
    .flatMap(([words, temperature]) => {
      const at = x + across(oven, temperature);
      const lines = axis.segments.map(({ top, bottom }) => line(at, top, at, bottom, { class: 'guide' }));
      const width = widthOf(words, SCALE);
      const left = Math.min(at - width / 2, x + PLOT - width);
      if (left + width > free - 3) return lines;
      free = left;
      return [...lines, text(left, axis.top - 3, words, SCALE, { class: 'heading' })];
    });
}

const DOORS: Readonly<Record<LaneDemand['door'], string>> = { shut: 'shut', usable: 'usable', ajar: 'ajar' };

/** What a step asks: a box as wide as it wants the oven hot, side by side where several are in at once. */
function demandBox(axis: Axis, oven: OvenLane, demand: LaneDemand, x: number): string {
  const lanes = oven.demands.filter(({ at, end }) => at < demand.end && end > demand.at);
  const place = lanes.indexOf(demand);
  const full = demand.heat.kind === 'at' ? across(oven, demand.heat.temperature.celsius) : PLOT - 4;
  const share = full / lanes.length;
  return axis.segments
    .map((segment) => {
      const part = within(segment, demand.at, demand.end);
      if (!part) return '';
      const [top, bottom] = [yOf(segment, part.at), yOf(segment, part.end)];
      return rect(x + place * share, top, share, bottom - top, { class: `demand ${DOORS[demand.door]}` });
    })
    .join('');
}

function drawReach(axis: Axis, oven: OvenLane, reach: Reach, x: number): string {
  const pieces = reach.points.slice(1).map((to, place) => ({ from: reach.points[place] ?? to, to }));
  return axis.segments
    .map((segment) => {
      const drawn = pieces.flatMap(({ from, to }) => {
        const part = within(segment, from.at, to.at);
        if (!part) return [];
        const at = (moment: number): string => {
          const share = (moment - from.at) / (to.at - from.at);
          const temperature = from.celsius + (to.celsius - from.celsius) * share;
          return figure(x + across(oven, temperature as Celsius));
        };
        return [part.at, part.end].map((moment) => `${at(moment)} ${figure(yOf(segment, moment))}`);
      });
      if (drawn.length === 0) return '';
      const points = drawn.filter((point, place) => point !== drawn[place - 1]);
      return element('path', { class: `course ${reach.kind}`, d: `M${points.join('L')}` });
    })
    .join('');
}

/** A small triangle where the knob is turned. */
function knob(axis: Axis, moment: OvenLane['settings'][number]['at'], x: number): string {
  const segment = axis.segments.find(({ from, to }) => moment >= from && moment <= to);
  if (!segment) return '';
  const y = yOf(segment, moment);
  return element('path', {
    class: 'knob',
    d: `M${figure(x - 5)} ${figure(y - 4)}L${figure(x + 2)} ${figure(y)}L${figure(x - 5)} ${figure(y + 4)}Z`,
  });
}
