import {
  celsius,
  formatTemperature,
  parseDuration,
  parseTemperatureRate,
  parseTemperatureSpan,
  type Temperature,
} from '../units/index.ts';
import { DEFAULTS, known } from './defaults.ts';
import { problem, type Report } from './diagnostic.ts';
import type { KitchenWords } from './kitchen.ts';
import type { Oven, OvenFigure } from './model.ts';
import { placeWithin, type Node } from './tree.ts';

type OvenWords = NonNullable<KitchenWords['ovens']> extends ReadonlyMap<string, infer Words> ? Words : never;

const FIGURES: readonly OvenFigure[] = [
  'heats',
  'cools',
  'ajar',
  'open',
  'hottest',
  'soak',
  'tolerance',
  'offset',
  'overshoot',
  'swing',
  'load',
];

/** The ovens of a kitchen in which the room stands at `room`. */
export function ovensOf(words: KitchenWords, room: Temperature, tree: Node, report: Report): Oven[] {
  return [...(words.ovens ?? [])].map(([name, oven]) => {
    const node = nodeOf(tree, name);
    checkHeating(oven, node, report);
    checkCooling(oven, room, node, report);
    checkOffset(oven, node, report);
    return ovenOf(name, oven, tree);
  });
}

function ovenOf(name: string, words: OvenWords, tree: Node): Oven {
  const { ajar, open, hottest, offset, overshoot, swing, load } = words;
  return {
    name,
    shelves: words.shelves ?? DEFAULTS.shelves,
    heats: words.heats ?? known(parseTemperatureRate(DEFAULTS.heats)),
    cools: words.cools ?? known(parseTemperatureRate(DEFAULTS.cools)),
    ...(ajar !== undefined && { ajar }),
    ...(open !== undefined && { open }),
    ...(hottest && { hottest: hottest.celsius }),
    tolerance: words.tolerance ?? known(parseTemperatureSpan(DEFAULTS.tolerance)),
    soak: words.soak ?? known(parseDuration(DEFAULTS.soak)),
    ...(offset !== undefined && { offset }),
    ...(overshoot !== undefined && { overshoot }),
    ...(swing !== undefined && { swing }),
    ...(load !== undefined && { load }),
    given: FIGURES.filter((figure) => words[figure] !== undefined),
    place: placeWithin(tree, 'ovens', name),
  };
}

const COOLEST_HOTTEST = 100;
const HOTTEST_HINT = 'give what it comes to with its heater always on: hottest: 280 C';

function checkHeating({ heats, hottest }: OvenWords, node: Node, report: Report): void {
  if (!hottest) return;
  if (hottest.celsius < COOLEST_HOTTEST) {
    const message = `an oven that comes to no more than ${formatTemperature(hottest)} bakes nothing`;
    report(problem('bad-oven', placeWithin(node, 'hottest'), message, HOTTEST_HINT));
  } else if (typeof heats === 'object' && heats.to >= hottest.celsius) {
    const message = 'it was watched to come to more than its hottest, or just as much';
    report(problem('bad-oven', placeWithin(node, 'hottest'), message, HOTTEST_HINT));
  }
}

/** Nothing cools to the room's own temperature in any time that could be watched. */
function checkCooling(words: OvenWords, room: Temperature, node: Node, report: Report): void {
  for (const word of ['cools', 'ajar', 'open'] as const) {
    const pace = words[word];
    if (typeof pace !== 'object' || pace.to > room.celsius) continue;
    const message = `in a room of ${formatTemperature(room)} no oven cools so far`;
    report(
      problem('bad-oven', placeWithin(node, word), message, 'write a change that ends well above the room'),
    );
  }
}

/** An oven that is further off than this needs a repair and not a figure. */
const FURTHEST_OFF = celsius(100);

function checkOffset({ offset }: OvenWords, node: Node, report: Report): void {
  if (offset === undefined || Math.abs(offset) <= FURTHEST_OFF) return;
  const message = 'no oven that works stands so far from its knob';
  const hint = `at most ${FURTHEST_OFF} C to either side; offset: -8 C stands 8 C below its knob`;
  report(problem('bad-oven', placeWithin(node, 'offset'), message, hint));
}

const nodeOf = (tree: Node, name: string): Node => {
  const ovens = tree.kind === 'map' ? tree.entries.get('ovens')?.value : undefined;
  return (ovens?.kind === 'map' ? ovens.entries.get(name)?.value : undefined) ?? tree;
};
