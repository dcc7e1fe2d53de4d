import {
  parseDuration,
  parseReadingRate,
  parseTemperature,
  parseTemperatureRange,
  type Temperature,
} from '../units/index.ts';
import { DEFAULTS, known } from './defaults.ts';
import { problem, type Report } from './diagnostic.ts';
import { PASSWORD_FROM } from './kitchen-shape.ts';
import type { KitchenWords } from './kitchen.ts';
import type { Broker, Place, Probe } from './model.ts';
import { suggest } from './nearest.ts';
import { keyPlaceIn, placeWithin, type Node } from './tree.ts';

type ProbeWords =
  NonNullable<KitchenWords['probes']> extends ReadonlyMap<string, infer Words> ? Words : never;

/** The probes that a kitchen describes; nothing where it describes none. */
export function probesOf(words: KitchenWords, tree: Node, report: Report): Probe[] | undefined {
  const described = [...(words.probes ?? [])];
  if (described.length === 0) return undefined;
  const ovens = ovenNames(tree);
  const sources = new Map<string, string>();
  return described.map(([name, probe]) => {
    const node = inner(inner(tree, 'probes'), name);
    checkFigures(probe, node, report);
    checkSource(name, probe, node, sources, report);
    const { oven } = probe;
    if (oven !== undefined && !ovens.includes(oven)) {
      const hint = suggest(oven, ovens, 'the kitchen has none: leave it out');
      const place = placeWithin(node, 'oven');
      report(problem('unknown-oven', place, `the kitchen has no oven "${oven}"`, hint));
    }
    return probeOf(name, probe);
  });
}

function probeOf(name: string, words: ProbeWords): Probe {
  const { topic, field, oven } = words;
  const limits = words.between ?? known(parseTemperatureRange(DEFAULTS.probeLimits));
  const boilingWater = words['boiling water']?.celsius;
  return {
    name,
    low: limits.low.celsius,
    high: limits.high.celsius,
    fastest: words.fastest ?? known(parseReadingRate(DEFAULTS.probeFastest)),
    stale: words.stale ?? known(parseDuration(DEFAULTS.probeStale)),
    iceWater: (words['ice water'] ?? known(parseTemperature(DEFAULTS.iceWater))).celsius,
    ...(boilingWater !== undefined && { boilingWater }),
    ...(oven !== undefined && { oven }),
    ...(topic !== undefined && {
      mqtt: { topic, ...(field !== undefined && { field }), scale: words.scale ?? DEFAULTS.scale },
    }),
  };
}

/** A probe that is further off than this in ice water is broken, or was not in ice water. */
const MOST_OFF = 10;
/** From the boiling point of water at the highest altitude that a kitchen may have, with room for a probe that is off. */
const BOILS: readonly [number, number] = [70, 110];

function checkFigures(words: ProbeWords, node: Node, report: Report): void {
  const { between, stale } = words;
  if (between && between.low.celsius === between.high.celsius) {
    const hint = 'write what the probe can read: -20 - 150 C';
    report(problem('bad-probe', placeWithin(node, 'between'), 'limits of no width', hint));
  }
  if (stale === 0) {
    const message = 'every probe is silent for some time between two readings';
    report(problem('bad-probe', placeWithin(node, 'stale'), message, 'write stale: 2 min'));
  }
  const off = (word: 'ice water' | 'boiling water', least: number, most: number): void => {
    const read: Temperature | undefined = words[word];
    if (!read || (read.celsius >= least && read.celsius <= most)) return;
    const message = `no probe that works reads this in ${word}`;
    const hint = `between ${least} C and ${most} C; ${word}: is what the probe shows in it`;
    report(problem('bad-probe', placeWithin(node, word), message, hint));
  };
  off('ice water', -MOST_OFF, MOST_OFF);
  off('boiling water', ...BOILS);
}

/** Where a probe's readings come from: one field of one topic is one probe's. */
function checkSource(
  name: string,
  { topic, field }: ProbeWords,
  node: Node,
  sources: Map<string, string>,
  report: Report,
): void {
  if (topic !== undefined) {
    const source = JSON.stringify([topic, field ?? '']);
    const first = sources.get(source);
    if (first !== undefined) {
      const message = `"${first}" is read from the same place`;
      const hint = 'give each probe a topic, or a field of it, of its own';
      report(problem('duplicate-name', placeWithin(node, 'topic'), message, hint));
    } else sources.set(source, name);
    return;
  }
  for (const word of ['field', 'scale'] as const) {
    if (node.kind !== 'map' || !node.entries.has(word) || node.entries.has('topic')) continue;
    const message = `"${word}" says how a topic is read, and this probe has none`;
    report(problem('no-effect', keyPlaceIn(node, word), message, 'give it a topic too', 'warning'));
  }
}

/** The broker that probes are read from. Nothing where there is none, or its address cannot be read. */
export function brokerOf(words: KitchenWords, tree: Node, report: Report): Broker | undefined {
  const { broker } = words;
  const topics = topicsIn(tree);
  if (!broker) {
    const [place] = topics;
    if (!place || (tree.kind === 'map' && tree.entries.has('broker'))) return undefined;
    const message = 'the kitchen has no broker from which this could be read';
    report(
      problem('no-effect', place, message, 'write broker: { url: mqtt://kitchen.local:1883 }', 'warning'),
    );
    return undefined;
  }
  const node = inner(tree, 'broker');
  checkBroker(broker, topics.length, node, keyPlaceIn(tree, 'broker'), report);
  const { url, user, authority, presence, [PASSWORD_FROM]: passwordFrom } = broker;
  if (url === undefined) return undefined;
  return {
    url,
    ...(user !== undefined && { user }),
    ...(passwordFrom !== undefined && { passwordFrom }),
    ...(authority !== undefined && { authority }),
    ...(presence !== undefined && { presence }),
  };
}

function checkBroker(
  { url, user, authority, [PASSWORD_FROM]: password }: NonNullable<KitchenWords['broker']>,
  topics: number,
  node: Node,
  place: Place,
  report: Report,
): void {
  if (password !== undefined && user === undefined && !(node.kind === 'map' && node.entries.has('user'))) {
    const message = 'a password goes with the name of a user';
    report(problem('bad-broker', keyPlaceIn(node, PASSWORD_FROM), message, 'write user: NAME too'));
  }
  if (authority !== undefined && url?.toLowerCase().startsWith('mqtt:')) {
    const message = 'a certificate is looked at by mqtts: alone';
    report(problem('no-effect', keyPlaceIn(node, 'authority'), message, 'write url: mqtts://…', 'warning'));
  }
  if (topics === 0) {
    const message = 'no probe of this kitchen is read from the broker';
    const hint = 'give a probe a topic: probes: { cream: { topic: kitchen/probes/cream } }';
    report(problem('no-effect', place, message, hint, 'warning'));
  }
}

/** Where the file names topics, also those that could not be read. */
function topicsIn(tree: Node): Place[] {
  const probes = inner(tree, 'probes');
  if (probes === tree || probes.kind !== 'map') return [];
  return [...probes.entries.values()].flatMap(({ value }) =>
    value.kind === 'map' && value.entries.has('topic') ? [placeWithin(value, 'topic')] : [],
  );
}

function ovenNames(tree: Node): string[] {
  const ovens = tree.kind === 'map' ? tree.entries.get('ovens')?.value : undefined;
  return ovens?.kind === 'map' ? [...ovens.entries.keys()] : [];
}

const inner = (node: Node, word: string): Node =>
  (node.kind === 'map' ? node.entries.get(word)?.value : undefined) ?? node;
