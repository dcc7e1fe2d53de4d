import type { Kitchen } from '../plan/index.ts';
import { celsius, seconds, type Celsius, type Seconds } from '../units/index.ts';
import type { Surroundings } from './body.ts';

/** What a body stands in. */
export type Medium =
  | { readonly kind: 'room' }
  | { readonly kind: 'fridge' }
  | { readonly kind: 'freezer' }
  /** A bath, a blast cabinet, or whatever else the plan gives a temperature for. */
  | { readonly kind: 'told'; readonly celsius: Celsius };

/** A fridge and a freezer that nobody has measured. */
const FRIDGE = celsius(4);
const FREEZER = celsius(-18);

/**
 * What is believed of a medium. The spreads and drifts are judgement: a figure in the kitchen file is good to a degree, a
 * guessed one to two or three; fridges and freezers are opened, a room is not stirred, an ice bath stays where it is.
 */
export function surroundingsOf(medium: Medium, kitchen: Kitchen): Surroundings {
  switch (medium.kind) {
    case 'room':
      return { celsius: kitchen.ambient, spread: 1.5, drift: 0.5 };
    case 'fridge':
      return { celsius: kitchen.fridge ?? FRIDGE, spread: kitchen.fridge === undefined ? 2 : 1, drift: 1.2 };
    case 'freezer':
      return {
        celsius: kitchen.freezer ?? FREEZER,
        spread: kitchen.freezer === undefined ? 3 : 1.5,
        drift: 1.2,
      };
    case 'told':
      return { celsius: medium.celsius, spread: 1, drift: 0.2 };
  }
}

/** How heat leaves a body: still air, moving air, or a wet wall that ice or water touches. */
export type Touch = 'still air' | 'moving air' | 'ice bath';

/**
 * Time constants of a slab that cools on both faces, min, by its depth in cm: first term of the series for a custard (k 0.5
 * W/mK, 1.29e-7 m2/s) with 8, 25 and 400 W/m2K on its faces. Computed for the figures table of this project; the
 * property values are general knowledge, so what is guessed from them is wide.
 */
const SLAB: Readonly<Record<Touch, readonly (readonly [depth: number, minutes: number])[]>> = {
  'still air': [
    [1, 42],
    [2, 85],
    [2.5, 108],
    [5, 230],
    [7.5, 367],
    [10, 518],
  ],
  'moving air': [
    [1, 14],
    [2, 30],
    [2.5, 39],
    [5, 94],
    [7.5, 163],
    [10, 248],
  ],
  'ice bath': [
    [1, 2],
    [2, 7],
    [2.5, 10],
    [5, 36],
    [7.5, 79],
    [10, 138],
  ],
};

/** The time constant of a slab so many mm deep, s; between the depths of the table by a power law, as conduction has it. */
export function slabTau(depth: number, touch: Touch): Seconds {
  const table = SLAB[touch];
  const cm = depth / 10;
  const upper = Math.max(
    1,
    Math.min(
      table.length - 1,
      table.findIndex(([at]) => at >= cm),
    ),
  );
  const last = table.length - 1;
  const index = cm > (table[last]?.[0] ?? 0) ? last : upper;
  const [a, b] = [table[index - 1], table[index]];
  if (!a || !b) throw new Error('the table of slabs is empty');
  const power = Math.log(b[1] / a[1]) / Math.log(b[0] / a[0]);
  return seconds(a[1] * (cm / a[0]) ** power * 60);
}

/** A length that may be so short or so long. */
export interface Guess {
  readonly low: Seconds;
  readonly usual: Seconds;
  readonly high: Seconds;
}

/** How far a guessed time constant may be off, as a factor: covers, vessels, stacking and the food itself. */
const GUESS_FACTOR = 1.6;

/** How long a slab takes from one temperature to another, guessed; nothing where the surroundings are within 1 C of the goal or beyond it. */
export function guessCooling(
  depth: number,
  touch: Touch,
  from: Celsius,
  to: Celsius,
  around: Celsius,
): Guess | undefined {
  if (to - around < 1) return undefined;
  if (from <= to) return { low: seconds(0), usual: seconds(0), high: seconds(0) };
  const usual = slabTau(depth, touch) * Math.log((from - around) / (to - around));
  return { low: seconds(usual / GUESS_FACTOR), usual: seconds(usual), high: seconds(usual * GUESS_FACTOR) };
}

/** Something that would cool a body sooner, and what share of the time it would then take. */
export interface Help {
  readonly what: 'half as deep' | 'in an ice bath' | 'stirred now and then';
  readonly share: number;
}

/** Of a body that is stirred only its skin resists: what is left of the time constant of a slab in the same medium is that of its faces. */
const STIRRED_SHARE = 0.7;

/** What would help a body in air, the most effective first. Depth is in mm; a usual bowl of 5 cm where it is not known. */
export function whatHelps(depth = 50, touch: Touch = 'still air'): readonly Help[] {
  const now = slabTau(depth, touch);
  const helps: Help[] = [{ what: 'half as deep', share: slabTau(depth / 2, touch) / now }];
  if (touch !== 'ice bath') helps.push({ what: 'in an ice bath', share: slabTau(depth, 'ice bath') / now });
  helps.push({ what: 'stirred now and then', share: STIRRED_SHARE });
  return helps.toSorted((a, b) => a.share - b.share);
}
