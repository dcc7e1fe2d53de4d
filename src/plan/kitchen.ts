import { isTimeZone, parseTemperature, type Temperature } from '../units/index.ts';
import { NO_RULES } from './cooling-rules.ts';
import { DEFAULTS, known } from './defaults.ts';
import { problem, type Report } from './diagnostic.ts';
import { workingHours } from './hours.ts';
import { kitchenShape, type inlineKitchenShape } from './kitchen-shape.ts';
import type { Item, Kitchen } from './model.ts';
import { ovensOf } from './ovens.ts';
import { brokerOf, probesOf } from './probes.ts';
import { readAs, type Read } from './read.ts';
import { keyPlaceIn, placeWithin, type Node } from './tree.ts';
import type { z } from 'zod';

export type KitchenWords = Read<z.output<typeof inlineKitchenShape>>;

/** What a step claims a burner of the kitchen's `hobs` as. */
const HOB = 'hob';

/** A kitchen, and whether its file says which cooling rules are watched; to say that none are is to say so too. */
export interface KitchenReading {
  readonly kitchen: Kitchen;
  readonly saysRules: boolean;
}

/** The kitchen that a kitchen file's tree describes. */
export function kitchenFromTree(tree: Node, timeZone: string, report: Report): KitchenReading | undefined {
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
): KitchenReading {
  const cooks = words.cooks ?? DEFAULTS.cooks;
  const { nights, rules, altitude } = words;
  const hours = workingHours(words, tree, report);
  const ambient = words.room ?? known(parseTemperature(DEFAULTS.room));
  const ovens = ovensOf(words, ambient, tree, report);
  const probes = probesOf(words, tree, report);
  const broker = brokerOf(words, tree, report);
  const kitchen: Kitchen = {
    name,
    title: words.title ?? name,
    timeZone: words['time zone'] ?? machineZone(timeZone, tree, report),
    cooks,
    near: words.near ?? DEFAULTS.nearPerCook * cooks,
    ...(hours && { hours }),
    ...(nights && { nights }),
    ambient: ambient.celsius,
    ...coldOf(words, tree, report),
    ...(altitude !== undefined && { altitude }),
    ...(probes && { probes }),
    ...(broker && { broker }),
    ovens,
    items: itemsOf(words, tree, report),
    ...(rules !== undefined && rules !== NO_RULES && { rules }),
  };
  return { kitchen, saysRules: tree.kind === 'map' && tree.entries.has('rules') };
}

/** What no fridge and no freezer stands at is a slip of the pen: a sign, or the scale. */
const COLD = {
  fridge: { coldest: -5, warmest: 15, usual: '4 C' },
  freezer: { coldest: -60, warmest: 0, usual: '-18 C' },
} as const;

function coldOf(words: KitchenWords, tree: Node, report: Report): Pick<Kitchen, 'fridge' | 'freezer'> {
  const stood = (which: keyof typeof COLD): Temperature | undefined => {
    const temperature = words[which];
    const { coldest, warmest, usual } = COLD[which];
    if (temperature && (temperature.celsius < coldest || temperature.celsius > warmest)) {
      const hint = `between ${coldest} C and ${warmest} C: ${which}: ${usual}`;
      const place = placeWithin(tree, which);
      report(problem('bad-temperature', place, `no ${which} stands at this temperature`, hint));
    }
    return temperature;
  };
  const [fridge, freezer] = [stood('fridge'), stood('freezer')];
  return { ...(fridge && { fridge: fridge.celsius }), ...(freezer && { freezer: freezer.celsius }) };
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
