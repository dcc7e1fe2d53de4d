import {
  celsius,
  isTimeZone,
  parseDuration,
  parseTemperature,
  parseTemperatureRate,
  type Parsed,
} from '../units/index.ts';
import { problem, type Report } from './diagnostic.ts';
import { workingHours } from './hours.ts';
import type { Item, Kitchen, Oven } from './model.ts';
import { readAs, type Read } from './read.ts';
import { DEFAULTS, type inlineKitchenShape, kitchenShape } from './shape.ts';
import { keyPlaceIn, placeWithin, type Node } from './tree.ts';
import type { z } from 'zod';

type KitchenWords = Read<z.output<typeof inlineKitchenShape>>;

/** What a step claims a burner of the kitchen's `hobs` as. */
const HOB = 'hob';

/** The kitchen that a kitchen file's tree describes. */
export function kitchenFromTree(tree: Node, timeZone: string, report: Report): Kitchen | undefined {
  if (tree.kind !== 'map') {
    report(problem('wrong-kind', tree.place, 'a kitchen begins with words', 'begin with "thirdhand: 1"'));
    return undefined;
  }
  const components = tree.entries.get('components');
  if (components && !tree.entries.has('cooks')) {
    report(
      problem('wrong-kind', components.keyPlace, 'this is a plan, not a kitchen', 'give a kitchen file'),
    );
    return undefined;
  }
  const words = readAs(tree, kitchenShape, report);
  return words && kitchenFromWords(words, tree, words.kitchen ?? 'kitchen', timeZone, report);
}

/** The kitchen that the words describe, with the defaults where they say nothing. */
export function kitchenFromWords(
  words: KitchenWords,
  tree: Node,
  name: string,
  timeZone: string,
  report: Report,
): Kitchen {
  const cooks = words.cooks ?? DEFAULTS.cooks;
  const { nights, rules } = words;
  const hours = workingHours(words, tree, report);
  return {
    name,
    title: words.title ?? name,
    timeZone: words['time zone'] ?? machineZone(timeZone, tree, report),
    cooks,
    near: words.near ?? DEFAULTS.nearPerCook * cooks,
    ...(hours && { hours }),
    ...(nights && { nights }),
    ambient: words.room?.celsius ?? known(parseTemperature(DEFAULTS.room)).celsius,
    ovens: ovensOf(words, tree),
    items: itemsOf(words, tree, report),
    ...(rules !== undefined && rules.toLowerCase() !== 'none chosen' && { rules }),
  };
}

/** What the machine says of its time zone can be no name of one, or nothing at all: TZ may be set to anything. */
function machineZone(timeZone: string, tree: Node, report: Report): string {
  if (isTimeZone(timeZone)) return timeZone;
  const message = 'the kitchen names no time zone, and this machine does not tell its own';
  const hint = 'write in the kitchen: time zone: Europe/Lisbon; or set TZ to such a name';
  report(
    problem(
      'bad-time-zone',
      { ...tree.place, endLine: tree.place.line, endColumn: tree.place.column + 1 },
      message,
      hint,
    ),
  );
  return 'UTC';
}

function ovensOf(words: KitchenWords, tree: Node): Oven[] {
  return [...(words.ovens ?? [])].map(([name, oven]) => ({
    name,
    shelves: oven.shelves ?? DEFAULTS.shelves,
    heats: oven.heats ?? known(parseTemperatureRate(DEFAULTS.heats)),
    cools: oven.cools ?? known(parseTemperatureRate(DEFAULTS.cools)),
    tolerance: oven.tolerance ?? celsius(Number.parseFloat(DEFAULTS.tolerance)),
    soak: oven.soak ?? known(parseDuration(DEFAULTS.soak)),
    place: placeWithin(tree, 'ovens', name),
  }));
}

/** Hobs, cold shelves and tools share one set of names, as steps claim them alike. */
function itemsOf(words: KitchenWords, tree: Node, report: Report): Item[] {
  const items: Item[] = [];
  if (words.hobs !== undefined) {
    items.push({ name: HOB, kind: 'hob', count: words.hobs, carriesPieces: false });
  }
  for (const [section, kind] of [
    ['cold', 'cold shelf'],
    ['tools', 'tool'],
  ] as const) {
    for (const [name, stock] of words[section] ?? []) {
      if (name === HOB || items.some((item) => item.name === name)) {
        const entry = tree.kind === 'map' ? tree.entries.get(section)?.value : undefined;
        const place = keyPlaceIn(entry ?? tree, name);
        const hint = name === HOB ? 'give the burners as hobs: 4' : 'give it another name';
        report(problem('duplicate-name', place, `there is another "${name}" in this kitchen`, hint));
        continue;
      }
      const isCount = typeof stock === 'number';
      items.push({
        name,
        kind,
        count: isCount ? stock : (stock.count ?? 0),
        carriesPieces: !isCount && stock.carries === 'pieces',
      });
    }
  }
  return items;
}

/** A default of our own is readable. */
function known<T>(value: Parsed<T>): T {
  if (!value.ok) throw new Error(value.problem);
  return value.value;
}
