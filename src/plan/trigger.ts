import { formatTemperature, parseDuration, roughly, type Seconds } from '../units/index.ts';
import { problem, type Report } from './diagnostic.ts';
import type { ProbeGoal, Trigger } from './model.ts';
import type { Read } from './read.ts';
import { DEFAULTS, known } from './defaults.ts';
import { LEAST_JOINED, MAX_TRIGGER_DEPTH, type TriggerWords } from './shape.ts';
import { keyPlaceIn, placeWithin, type Node } from './tree.ts';

const KINDS = ['cue', 'probe', 'probes', 'any', 'all'] as const;
type Kind = (typeof KINDS)[number];
const GOALS = ['reaches', 'falls to', 'between'] as const;
/** Words that say more of a reading, and the kinds they can stand beside. */
const READING_WORDS: Readonly<
  Record<(typeof GOALS)[number] | 'for' | 'apart' | 'sea level', readonly Kind[]>
> = {
  reaches: ['probe', 'probes'],
  'falls to': ['probe', 'probes'],
  between: ['probe', 'probes'],
  for: ['probe', 'probes'],
  apart: ['probes'],
  'sea level': ['probe'],
};
const HINT =
  'write { cue: firm to the touch }, { probe: cream, falls to: 5 C }, { probes: [cream, butter], between: 20-22 C }, or { any: [ … ] } or { all: [ … ] }';
const GOAL_HINT = 'write one of reaches: 76 C, falls to: 5 C, between: 20-22 C';

/** What an `until` means. Nothing where it has a problem, which is reported. */
export function triggerFrom(
  words: Read<TriggerWords>,
  node: Node,
  report: Report,
  depth = 0,
): Trigger | undefined {
  const present = KINDS.filter((kind) => has(node, kind));
  const [kind, other] = present;
  if (kind === undefined) {
    const goal = GOALS.find((word) => has(node, word));
    const message = goal === undefined ? 'this ends on nothing' : `"${goal}" of which probe?`;
    report(problem('bad-trigger', goal === undefined ? node.place : keyPlaceIn(node, goal), message, HINT));
    return undefined;
  }
  if (other !== undefined) {
    const message = `"${kind}" and "${other}" cannot stand side by side`;
    report(problem('bad-trigger', keyPlaceIn(node, other), message, HINT));
    return undefined;
  }
  checkBeside(kind, node, report);
  if (kind === 'cue') return words.cue === undefined ? undefined : { kind, text: words.cue };
  if (kind === 'probe') return probeFrom(words, node, report);
  if (kind === 'probes') return joinFrom(words, node, report);
  return combinedFrom(kind, words, node, report, depth);
}

/** Words about readings beside something that is not read so. */
function checkBeside(kind: Kind, node: Node, report: Report): void {
  for (const [word, kinds] of Object.entries(READING_WORDS)) {
    if (!has(node, word) || kinds.includes(kind)) continue;
    const message = `"${word}" goes with ${kinds.length > 1 ? 'a probe' : `"${kinds[0]}"`}, not with "${kind}"`;
    const hint =
      word === 'apart'
        ? 'write { probes: [cream, butter], between: 20-22 C, apart: 2 C }'
        : word === 'sea level'
          ? 'write { probe: syrup, reaches: 118 C, sea level: true }'
          : 'write { probe: cream, falls to: 5 C }';
    report(problem('bad-trigger', keyPlaceIn(node, word), message, hint));
  }
}

function combinedFrom(
  kind: 'any' | 'all',
  words: Read<TriggerWords>,
  node: Node,
  report: Report,
  depth: number,
): Trigger | undefined {
  const place = keyPlaceIn(node, kind);
  if (depth >= MAX_TRIGGER_DEPTH) {
    report(
      problem(
        'bad-trigger',
        place,
        `any and all are nested more than ${MAX_TRIGGER_DEPTH} deep`,
        'say it more simply',
      ),
    );
    return undefined;
  }
  const list = node.kind === 'map' ? node.entries.get(kind)?.value : undefined;
  const nodes = list?.kind === 'list' ? list.items : [];
  const members = words[kind] ?? [];
  if (words[kind] !== undefined && nodes.length === 0) {
    report(
      problem('bad-trigger', place, `"${kind}" of nothing`, `list what must be met: { ${kind}: [ … ] }`),
    );
  }
  const of = nodes.flatMap((inner, index) => {
    const member = members[index];
    const trigger = member && triggerFrom(member, inner, report, depth + 1);
    return trigger ? [trigger] : [];
  });
  return of.length > 0 ? { kind, of } : undefined;
}

function probeFrom(words: Read<TriggerWords>, node: Node, report: Report): Trigger | undefined {
  if (!hasOneGoal('probe', 'the probe is read, but for what?', node, report)) return undefined;
  const goal = goalFrom(words);
  const fromBoiling = words['sea level'] === true;
  if (has(node, 'sea level') && has(node, 'falls to')) {
    const message = '"sea level" is for what boils, and this cools';
    report(problem('bad-trigger', keyPlaceIn(node, 'sea level'), message, 'leave "sea level" out'));
  }
  if (words.probe === undefined || goal === undefined) return undefined;
  const lasting = words.for ?? defaultLasting();
  return { kind: 'probe', probe: words.probe, goal, lasting, ...(fromBoiling && { fromBoiling }) };
}

function joinFrom(words: Read<TriggerWords>, node: Node, report: Report): Trigger | undefined {
  const { apart } = words;
  const isOne = hasOneGoal('probes', 'the probes are read, but for what?', node, report);
  const written = node.kind === 'map' ? node.entries.get('probes')?.value : undefined;
  const probes = (words.probes ?? []).flatMap((probe, index) => {
    if (probe === undefined) return [];
    if ((words.probes ?? []).indexOf(probe) === index) return [probe];
    const place = written ? placeWithin(written, index) : node.place;
    report(problem('duplicate-name', place, `"${probe}" is named twice`, 'name each probe once'));
    return [];
  });
  if (words.probes && words.probes.length < LEAST_JOINED) {
    const message = 'probes that are to agree are two at the least';
    const hint = 'write { probes: [cream, butter], between: 20-22 C }, or probe: for a single one';
    report(problem('bad-trigger', keyPlaceIn(node, 'probes'), message, hint));
  }
  if (apart === 0) {
    const message = 'two probes never read quite the same';
    report(problem('bad-trigger', placeWithin(node, 'apart'), message, 'write apart: 2 C'));
  }
  const goal = goalFrom(words);
  if (!isOne || goal === undefined || probes.length < LEAST_JOINED) return undefined;
  const lasting = words.for ?? defaultLasting();
  return { kind: 'join', probes, goal, ...(apart !== undefined && { apart }), lasting };
}

/** Whether a reading is compared with exactly one goal; otherwise that is reported. */
function hasOneGoal(kind: 'probe' | 'probes', none: string, node: Node, report: Report): boolean {
  const [which, other] = GOALS.filter((goal) => has(node, goal));
  if (which !== undefined && other === undefined) return true;
  const message = other === undefined ? none : `"${which}" and "${other}" cannot stand side by side`;
  report(problem('bad-trigger', keyPlaceIn(node, other ?? kind), message, GOAL_HINT));
  return false;
}

function goalFrom(words: Read<TriggerWords>): ProbeGoal | undefined {
  if (words.reaches) return { kind: 'reaches', to: words.reaches };
  if (words['falls to']) return { kind: 'falls to', to: words['falls to'] };
  return words.between && { kind: 'between', low: words.between.low, high: words.between.high };
}

const defaultLasting = (): Seconds => known(parseDuration(DEFAULTS.probeLasting));

const has = (node: Node, word: string): boolean => node.kind === 'map' && node.entries.has(word);

/** Says a trigger in words: "dough at 76 C, and a skin on the pan floor". How long a reading must last is told where the plan says it. */
export function describeTrigger(trigger: Trigger): string {
  switch (trigger.kind) {
    case 'cue':
      return trigger.text;
    case 'probe': {
      const level = trigger.fromBoiling ? ' (told for sea level)' : '';
      return `${trigger.probe} ${describeGoal(trigger.goal)}${level}${describeLasting(trigger.lasting)}`;
    }
    case 'join':
      return describeJoin(trigger);
    default: {
      const parts = trigger.of.map((part) =>
        part.kind === 'any' || part.kind === 'all' ? `(${describeTrigger(part)})` : describeTrigger(part),
      );
      return parts.join(trigger.kind === 'any' ? ', or ' : ', and ');
    }
  }
}

/** "cream and butter both between 20 C and 22 C for 20 s" */
function describeJoin({ probes, goal, apart, lasting }: Extract<Trigger, { kind: 'join' }>): string {
  const names = `${probes.slice(0, -1).join(', ')} and ${probes.at(-1)}`;
  const near = apart === undefined ? '' : `, no more than ${Math.round(apart * 10) / 10} C apart`;
  const together = probes.length === 2 ? 'both' : 'all';
  return `${names} ${together} ${describeGoal(goal)}${describeLasting(lasting)}${near}`;
}

/** How long it must last goes without saying where it is as usual. */
const describeLasting = (lasting: Seconds): string =>
  lasting === 0 || lasting === defaultLasting() ? '' : ` for ${roughly(lasting)}`;

function describeGoal(goal: ProbeGoal): string {
  switch (goal.kind) {
    case 'reaches':
      return `at ${formatTemperature(goal.to)}`;
    case 'falls to':
      return `down to ${formatTemperature(goal.to)}`;
    case 'between':
      return `between ${formatTemperature(goal.low)} and ${formatTemperature(goal.high)}`;
  }
}
