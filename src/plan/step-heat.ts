import type { z } from 'zod';
import { roughly, seconds, type Celsius, type Seconds, type Temperature } from '../units/index.ts';
import { problem, type Report } from './diagnostic.ts';
import type { Kitchen, Oven, OvenDemand, StepLength } from './model.ts';
import { suggest } from './nearest.ts';
import type { Read } from './read.ts';
import type { ovenDemandShape } from './shape.ts';
import type { StepContext, StepWords } from './steps.ts';
import { keyPlaceIn, placeWithin, type Node } from './tree.ts';

/** What a step wants of an oven, on so many shelves. */
export function ovenDemandOf(
  demand: Read<z.output<typeof ovenDemandShape>>,
  shelves: number,
  node: Node,
  context: StepContext,
): OvenDemand | undefined {
  const { report, kitchen } = context;
  const [at, off] = [has(node, 'at'), has(node, 'off')];
  if (at === off) {
    const message = at ? 'an oven cannot be hot and off' : 'how hot is the oven wanted?';
    report(
      problem(
        'bad-oven',
        at ? keyPlaceIn(node, 'off') : node.place,
        message,
        'write at: 180 C, or off: true',
      ),
    );
  }
  const { at: temperature } = demand;
  if (temperature && (temperature.celsius < 20 || temperature.celsius > 500)) {
    const place = placeWithin(node, 'at');
    report(problem('bad-oven', place, 'no oven stands at this temperature', 'between 20 C and 500 C'));
  }
  if (kitchen) checkOven(demand, shelves, node, kitchen, context);
  if (!temperature && demand.off === undefined) return undefined;
  return {
    ...(demand.oven !== undefined && { oven: demand.oven }),
    heat: temperature ? { kind: 'at', temperature } : { kind: 'off' },
    door: demand.door ?? 'usable',
    shelves,
  };
}

function checkOven(
  { oven: name, at }: Read<z.output<typeof ovenDemandShape>>,
  shelves: number,
  node: Node,
  kitchen: Kitchen,
  { report, pieces }: StepContext,
): void {
  const names = kitchen.ovens.map((oven) => oven.name);
  if (names.length === 0) {
    report(
      problem('unknown-oven', node.place, 'the kitchen has no oven', 'give it one: ovens: { oven: {} }'),
    );
    return;
  }
  const fitting = kitchen.ovens.filter((oven) => name === undefined || oven.name === name);
  if (fitting.length === 0 && name !== undefined) {
    const place = placeWithin(node, 'oven');
    report(problem('unknown-oven', place, `the kitchen has no oven "${name}"`, suggest(name, names, '')));
    return;
  }
  const most = Math.max(...fitting.map((oven) => oven.shelves));
  if (fitting.length > 0 && shelves > most) {
    const message = `for ${pieces} pieces this wants ${shelves} shelves of one oven; there are ${most}`;
    report(problem('too-many', placeWithin(node, 'shelves'), message, 'split the step, or make fewer'));
  }
  checkHeat(at, fitting, node, report);
}

/** An oven that is known not to come so far will never be right. */
function checkHeat(at: Temperature | undefined, fitting: readonly Oven[], node: Node, report: Report): void {
  if (!at || fitting.length === 0) return;
  const hottest = Math.max(...fitting.map((oven) => oven.hottest ?? Number.POSITIVE_INFINITY));
  if (at.celsius <= hottest) return;
  const figure = at.scale === 'C' ? hottest : (hottest * 9) / 5 + 32;
  const most = `${Math.round(figure * 10) / 10} ${at.scale}`;
  const message = `no oven for this comes to more than ${most}`;
  const hint = 'ask for less, or mend "hottest" in the kitchen';
  report(problem('bad-oven', placeWithin(node, 'at'), message, hint));
}

/** When what is in the oven is turned, in seconds from the start: surely before it may come out. */
export function turnOf(
  { turn }: StepWords,
  length: StepLength,
  node: Node,
  report: Report,
): Seconds | undefined {
  if (turn === undefined) return undefined;
  if (!has(node, 'oven')) {
    const message = 'only what is in an oven is turned';
    const hint = 'give the step an oven: oven: { at: 180 C }, or leave "turn" out';
    report(problem('bad-turn', keyPlaceIn(node, 'turn'), message, hint));
    return undefined;
  }
  const [shortest, usual] =
    length.kind === 'rest' ? [length.atLeast, length.atLeast] : [length.range.low, length.range.usual];
  const at = turn === 'half-way' ? seconds(Math.round(usual / 2)) : turn;
  if (at > 0 && at < shortest) return at;
  const message =
    turn === 'half-way'
      ? `half of the usual length is ${roughly(at)}, and the step may be over by then`
      : 'the step may be over by then, or has not begun';
  const hint = `write a time after the start and before the shortest length, ${roughly(shortest)}`;
  report(problem('bad-turn', placeWithin(node, 'turn'), message, hint));
  return undefined;
}

/** What a step stands in, where it says so itself. */
export function aroundOf({ around }: StepWords, node: Node, report: Report): Celsius | undefined {
  if (around && has(node, 'oven')) {
    const message = 'what is in an oven stands in the oven';
    report(problem('bad-oven', keyPlaceIn(node, 'around'), message, 'leave "around" or "oven" out'));
  }
  return around?.celsius;
}

const has = (node: Node, word: string): boolean => node.kind === 'map' && node.entries.has(word);
