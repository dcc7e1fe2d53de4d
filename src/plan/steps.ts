import type { z } from 'zod';
import { LONGEST, seconds, type DurationRange, type Seconds } from '../units/index.ts';
import { problem, type Report } from './diagnostic.ts';
import {
  stepId,
  type Claim,
  type ComponentId,
  type Kitchen,
  type Place,
  type Step,
  type StepLength,
} from './model.ts';
import { suggest } from './nearest.ts';
import type { Read } from './read.ts';
import type { stepShape } from './shape.ts';
import { aroundOf, ovenDemandOf, turnOf } from './step-heat.ts';
import { keyPlaceIn, placeWithin, type Node } from './tree.ts';
import { triggerFrom } from './trigger.ts';

export type StepWords = Read<z.output<typeof stepShape>>;

/** Text that names a step or a component, and where it stands. */
export interface Mention {
  readonly text: string;
  readonly place: Place;
}

/** A step as far as it can be read without its neighbours: what it needs and holds is still text. */
export interface DraftStep {
  readonly step: Step;
  /** Counts from 0 within the component; what could not be read counts too. */
  readonly index: number;
  readonly needs: readonly Mention[];
  readonly holds: readonly (Mention & Claim)[];
}

/** What a step is read against. */
export interface StepContext {
  readonly component: ComponentId;
  /** Nothing where the kitchen could not be read: then nothing is checked against it. */
  readonly kitchen: Kitchen | undefined;
  readonly pieces: number;
  readonly basePieces: number;
  readonly report: Report;
}

/** Where a step stands in its file. */
export interface StepSite {
  readonly name: string;
  readonly place: Place;
  readonly node: Node;
  readonly index: number;
}

export function draftStep(words: StepWords, site: StepSite, context: StepContext): DraftStep {
  const { name, node, place } = site;
  const { component, report } = context;
  const length = lengthOf(words, site, context);
  checkWaits(words, site, report);
  const uses = claimsOf(words, node, context);
  const until = words.until && triggerFrom(words.until, inner(node, 'until'), report);
  const turn = length === UNKNOWN_LENGTH ? undefined : turnOf(words, length, node, report);
  const around = aroundOf(words, node, report);
  const shelves = scaledCount(words.oven?.shelves ?? 1, words, context);
  const oven = words.oven && ovenDemandOf(words.oven, shelves, inner(node, 'oven'), context);
  const step: Step = {
    id: stepId(component, name),
    component,
    name,
    action: words.do ?? name,
    length,
    hands: words.hands ?? (length.kind === 'each' ? 'busy' : 'free'),
    ...(words.within !== undefined && { within: words.within }),
    after: words.after ?? seconds(0),
    needs: [],
    uses,
    holds: [],
    ...(oven && { oven }),
    ...(turn !== undefined && { turn }),
    ...(until && { until }),
    ...(around !== undefined && { around }),
    ...(words.caution !== undefined && { caution: words.caution }),
    ...(words.scales !== undefined && { scales: words.scales }),
    place,
  };
  return { step, index: site.index, needs: needsOf(words, node), holds: holdsOf(words, uses, node, context) };
}

const LENGTHS = ['takes', 'each', 'rest'] as const;
const LENGTH_HINT = 'give it one of takes: 9-13 min, each: 8 s, rest: 3-20 h';
/** Stands in for a length that could not be read; the problem is reported, so that no workload comes of it. */
const UNKNOWN_LENGTH: StepLength = { kind: 'rest', atLeast: seconds(0) };

function lengthOf(words: StepWords, site: StepSite, context: StepContext): StepLength {
  const { name, node, place } = site;
  const { report } = context;
  const [which, other] = LENGTHS.filter((word) => has(node, word));
  if (which === undefined) {
    report(problem('step-length', place, `"${name}" does not say how long it is`, LENGTH_HINT));
    return UNKNOWN_LENGTH;
  }
  if (other !== undefined) {
    const message = `"${which}" and "${other}" both say how long this step is`;
    report(problem('step-length', keyPlaceIn(node, other), message, 'keep one of them'));
  }
  if (which !== 'takes' && words.usually !== undefined) {
    const message = '"usually" goes with a range after "takes"';
    report(
      problem('usually', keyPlaceIn(node, 'usually'), message, 'write takes: 9-13 min, usually: 10 min'),
    );
  }
  if (which !== 'takes' && words.scales === true) {
    const message =
      which === 'each' ? '"each" grows with the yield anyway' : 'a rest does not grow with the yield';
    report(problem('no-effect', keyPlaceIn(node, 'scales'), message, 'leave scales: true out', 'warning'));
  }
  if (which === 'takes') return takesOf(words, node, context);
  if (which === 'each') return eachOf(words, node, context);
  if (words.rest?.atMost === 0) {
    report(
      problem(
        'bad-length',
        placeWithin(node, 'rest'),
        'this rest lasts no time at all',
        'leave the step out',
      ),
    );
  }
  return words.rest ? { kind: 'rest', ...words.rest } : UNKNOWN_LENGTH;
}

function takesOf(words: StepWords, node: Node, { report, pieces, basePieces }: StepContext): StepLength {
  const { takes, usually } = words;
  if (!takes) return UNKNOWN_LENGTH;
  if (takes.high === 0) {
    report(
      problem(
        'bad-length',
        placeWithin(node, 'takes'),
        'this step takes no time at all',
        'leave the step out',
      ),
    );
  }
  if (usually !== undefined && (usually < takes.low || usually > takes.high)) {
    const message = 'the usual length lies outside the range after "takes"';
    report(
      problem('usually', placeWithin(node, 'usually'), message, 'widen the range, or move the usual length'),
    );
  }
  const factor = words.scales === true ? pieces / basePieces : 1;
  const scaled = (length: number): Seconds => seconds(Math.round(length * factor));
  const range: DurationRange = {
    low: scaled(takes.low),
    usual: scaled(usually ?? (takes.low + takes.high) / 2),
    high: seconds(Math.max(1, scaled(takes.high))),
  };
  if (range.high > LONGEST) report(tooLong(placeWithin(node, 'takes'), pieces));
  return { kind: 'takes', range };
}

function eachOf(words: StepWords, node: Node, context: StepContext): StepLength {
  const { each } = words;
  if (each === undefined) return UNKNOWN_LENGTH;
  const place = placeWithin(node, 'each');
  if (each === 0) {
    context.report(problem('bad-length', place, 'each piece takes no time at all', 'leave the step out'));
  }
  const pieces = words.scales === false ? context.basePieces : context.pieces;
  const total = seconds(Math.ceil(Math.round(each * pieces * 1000) / 1000));
  if (total > LONGEST) context.report(tooLong(place, pieces));
  return { kind: 'each', per: each, pieces, range: { low: total, usual: total, high: total } };
}

const tooLong = (place: Place, pieces: number) =>
  problem('bad-length', place, `for ${pieces} pieces this is over 400 days`, 'is the unit right?');

function checkWaits(words: StepWords, { node, index }: StepSite, report: Report): void {
  for (const word of ['within', 'after'] as const) {
    if (index > 0 || !has(node, word)) continue;
    const message = `"${word}" counts from the step before, and nothing is before this one`;
    report(problem('bad-wait', keyPlaceIn(node, word), message, `leave "${word}" out`));
  }
  const { within, after } = words;
  if (within !== undefined && after !== undefined && within < after) {
    const message = 'the longest wait is shorter than the shortest';
    report(
      problem('bad-wait', placeWithin(node, 'within'), message, 'make within at least as long as after'),
    );
  }
}

/** Scales a count of things with the yield, unless the step forbids it. */
function scaledCount(count: number, words: StepWords, { pieces, basePieces }: StepContext): number {
  return words.scales === false ? count : Math.max(1, Math.ceil((count * pieces) / basePieces));
}

function claimsOf(words: StepWords, node: Node, context: StepContext): Claim[] {
  const written = typeof words.uses === 'string' ? [words.uses] : (words.uses ?? []);
  const claims: Claim[] = [];
  written.forEach((claim, index) => {
    if (claim === undefined) return;
    const place = placeWithin(node, 'uses', index);
    const [item, count] = typeof claim === 'string' ? [claim, 1] : [claim.item, claim.count ?? 1];
    if (item === undefined) return;
    if (claims.some((other) => other.item === item)) {
      const hint = `write { item: ${item}, count: 2 }`;
      context.report(problem('duplicate-name', place, `"${item}" is claimed twice by one step`, hint));
      return;
    }
    claims.push(claimed(item, count, place, words, context));
  });
  return claims;
}

/** One claim, scaled where the item carries pieces, and checked against what the kitchen has. */
function claimed(item: string, count: number, place: Place, words: StepWords, context: StepContext): Claim {
  const { kitchen, report } = context;
  const stock = kitchen?.items.find((each) => each.name === item);
  if (!kitchen) return { item, count };
  if (!stock) {
    const names = kitchen.items.map((each) => each.name);
    const otherwise = 'give the kitchen hobs, cold or tools';
    report(problem('unknown-item', place, `the kitchen has no "${item}"`, suggest(item, names, otherwise)));
    return { item, count };
  }
  const scaled = stock.carriesPieces ? scaledCount(count, words, context) : count;
  if (scaled > stock.count) {
    const forPieces = stock.carriesPieces ? `for ${context.pieces} pieces ` : '';
    const message = `${forPieces}this wants ${scaled} of "${item}"; the kitchen has ${stock.count}`;
    report(problem('too-many', place, message, 'split the step, make fewer, or change the kitchen'));
  }
  return { item, count: scaled };
}

function needsOf(words: StepWords, node: Node): Mention[] {
  if (typeof words.needs === 'string') return [{ text: words.needs, place: placeWithin(node, 'needs') }];
  return (words.needs ?? []).flatMap((text, index) =>
    text === undefined ? [] : [{ text, place: placeWithin(node, 'needs', index) }],
  );
}

function holdsOf(
  words: StepWords,
  uses: readonly Claim[],
  node: Node,
  context: StepContext,
): (Mention & Claim)[] {
  return [...(words.holds ?? [])].map(([item, text]) => {
    const used = uses.find((claim) => claim.item === item);
    const keyPlace = keyPlaceIn(inner(node, 'holds'), item);
    const claim = used ?? claimed(item, 1, keyPlace, words, context);
    return { ...claim, text, place: placeWithin(node, 'holds', item) };
  });
}

const has = (node: Node, word: string): boolean => node.kind === 'map' && node.entries.has(word);

const inner = (node: Node, word: string): Node =>
  (node.kind === 'map' ? node.entries.get(word)?.value : undefined) ?? node;
