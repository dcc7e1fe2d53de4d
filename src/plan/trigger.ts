import { formatTemperature, parseDuration, roughly, seconds, type Seconds } from '../units/index.ts';
import { problem, type Report } from './diagnostic.ts';
import type { ProbeGoal, Trigger } from './model.ts';
import type { Read } from './read.ts';
import { DEFAULTS, MAX_TRIGGER_DEPTH, type TriggerWords } from './shape.ts';
import { keyPlaceIn, type Node } from './tree.ts';

const KINDS = ['cue', 'probe', 'any', 'all'] as const;
const GOALS = ['reaches', 'falls to', 'between'] as const;
const HINT =
  'write { cue: firm to the touch }, { probe: cream, falls to: 5 C }, or { any: [ … ] } or { all: [ … ] }';
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
  if (kind !== 'probe') {
    for (const word of [...GOALS, 'for'] as const) {
      if (!has(node, word)) continue;
      const message = `"${word}" goes with a probe, not with "${kind}"`;
      report(
        problem('bad-trigger', keyPlaceIn(node, word), message, 'write { probe: cream, falls to: 5 C }'),
      );
    }
  }
  if (kind === 'cue') return words.cue === undefined ? undefined : { kind, text: words.cue };
  if (kind === 'probe') return probeFrom(words, node, report);
  return combinedFrom(kind, words, node, report, depth);
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
  const present = GOALS.filter((goal) => has(node, goal));
  const [which, other] = present;
  if (which === undefined || other !== undefined) {
    const message =
      other === undefined
        ? 'the probe is read, but for what?'
        : `"${which}" and "${other}" cannot stand side by side`;
    const place = keyPlaceIn(node, other ?? 'probe');
    report(problem('bad-trigger', place, message, GOAL_HINT));
    return undefined;
  }
  const goal = goalFrom(words);
  if (words.probe === undefined || goal === undefined) return undefined;
  return { kind: 'probe', probe: words.probe, goal, lasting: words.for ?? defaultLasting() };
}

function goalFrom(words: Read<TriggerWords>): ProbeGoal | undefined {
  if (words.reaches) return { kind: 'reaches', to: words.reaches };
  if (words['falls to']) return { kind: 'falls to', to: words['falls to'] };
  return words.between && { kind: 'between', low: words.between.low, high: words.between.high };
}

function defaultLasting(): Seconds {
  const length = parseDuration(DEFAULTS.probeLasting);
  return length.ok ? length.value : seconds(10);
}

const has = (node: Node, word: string): boolean => node.kind === 'map' && node.entries.has(word);

/** Says a trigger in words: "dough at 76 C, and a skin on the pan floor". How long a reading must last is told where the plan says it. */
export function describeTrigger(trigger: Trigger): string {
  switch (trigger.kind) {
    case 'cue':
      return trigger.text;
    case 'probe':
      return `${trigger.probe} ${describeGoal(trigger.goal)}${trigger.lasting === 0 || trigger.lasting === defaultLasting() ? '' : ` for ${roughly(trigger.lasting)}`}`;
    default: {
      const parts = trigger.of.map((part) =>
        part.kind === 'any' || part.kind === 'all' ? `(${describeTrigger(part)})` : describeTrigger(part),
      );
      return parts.join(trigger.kind === 'any' ? ', or ' : ', and ');
    }
  }
}

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
