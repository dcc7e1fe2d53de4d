import { seconds, type DurationRange, type Seconds } from '../../units/index.ts';
import type { Claim, Kitchen, Step, StepLength } from '../../plan/index.ts';
import { presenterDecides, type Slot } from './slots.ts';
import type { Batch, Touch } from './batch.ts';
import { lengthOf } from './frame.ts';

/** A step of a batch, or one of the parts into which showings cut it. Its `needs` and `holds` are still those of the plan. */
export interface Piece {
  readonly step: Step;
  /** Its place in the plan's component. */
  readonly index: number;
  /** The showing that it is. */
  readonly slot?: Slot;
  /** It begins the plan's step, and it ends it. */
  readonly begins: boolean;
  readonly ends: boolean;
  /** It is made ahead, for all copies together. */
  readonly ahead: boolean;
}

/** The steps of a batch in order. `copies` are made of what is made ahead. */
export function piecesOf(batch: Batch, copies: number, kitchen: Kitchen): Piece[] {
  const { component, reached, touches, origin } = batch;
  if (origin.kind === 'backup') return piecesOf(origin.of, 1, kitchen).filter(({ ahead }) => ahead);
  const first = origin.kind === 'carried' ? (touches[0]?.index ?? 0) : 0;
  const found = component.steps.slice(first, reached.index + 1).flatMap((step, place) => {
    const index = first + place;
    const of = touches.filter((touch) => touch.index === index);
    const pieces = cut(step, index, of);
    return index === reached.index && reached.partly
      ? pieces.filter(({ slot, begins }) => slot && begins)
      : pieces;
  });
  const start = found.findIndex(({ slot }) => slot !== undefined);
  const named = uniquelyNamed(origin.kind === 'carried' ? found.slice(start) : found);
  const made = aheadOf(batch, named);
  return named.map((piece, place) =>
    place < made ? { ...piece, ahead: true, step: scaled(piece.step, copies, kitchen) } : piece,
  );
}

/** How many of a batch's pieces are made ahead. */
function aheadOf({ origin }: Batch, pieces: readonly Piece[]): number {
  if (origin.kind === 'part') return pieces.length;
  if (origin.kind !== 'swap') return 0;
  const { madeTo, inside } = origin;
  return pieces.filter(({ index, slot }) => index < madeTo || (inside && index === madeTo && !slot)).length;
}

/** Cuts a step into what comes before it is shown, what is shown, and what comes after. */
function cut(step: Step, index: number, touches: readonly Touch[]): Piece[] {
  const pieces: Piece[] = [];
  let done = 0;
  let rest = step.length;
  const off = (name: string, action: string, length: StepLength, ends: boolean): void => {
    pieces.push({
      ...part(step, name, action, length, done, ends),
      index,
      begins: done === 0,
      ends,
      ahead: false,
    });
  };
  for (const { slot } of touches) {
    const shown = slot.to - slot.from;
    const { show } = slot;
    if (show.kind !== 'step') continue;
    if (show.part === 'last') {
      const before = shorter(rest, shown);
      off(
        done > 0 ? `${step.name} on` : step.name,
        done > 0 ? `go on: ${step.action}` : step.action,
        before,
        false,
      );
      done += usual(before);
    }
    const ends = show.part !== 'first';
    const name = show.part === 'whole' ? step.name : `${step.name} ${show.part}`;
    const { step: shownStep } = part(step, name, step.action, shownLength(step, slot), done, ends);
    pieces.push({
      step: { ...shownStep, hands: 'busy' },
      index,
      slot,
      begins: done === 0,
      ends,
      ahead: false,
    });
    done += shown;
    rest = shorter(rest, shown);
    if (ends) return pieces;
  }
  off(done > 0 ? `${step.name} on` : step.name, done > 0 ? `go on: ${step.action}` : step.action, rest, true);
  return pieces;
}

function shownLength(step: Step, slot: Slot): StepLength {
  if (!presenterDecides(slot.show) && step.length.kind !== 'rest') return step.length;
  return lengthOf(slot);
}

/** A part of a step that begins when so many seconds of it are over. */
function part(
  step: Step,
  name: string,
  action: string,
  length: StepLength,
  done: number,
  ends: boolean,
): { readonly step: Step } {
  const { within, turn, until, after, ...kept } = step;
  const begins = done === 0;
  // Work that goes piece by piece may be laid down for as long as it may wait to begin; anything else goes on at once.
  const wait = begins || step.length.kind === 'each' ? within : seconds(0);
  const long = usual(length);
  const turned = turn !== undefined && turn >= done && (ends || turn < done + long);
  return {
    step: {
      ...kept,
      name,
      action,
      length,
      after: begins ? after : seconds(0),
      ...(wait !== undefined && { within: wait }),
      ...(turned && turn !== undefined && { turn: seconds(turn - done) }),
      ...(ends && until && { until }),
    },
  };
}

/** What is usual; of a rest its least. */
const usual = (length: StepLength): number =>
  Math.ceil(length.kind === 'rest' ? length.atLeast : length.range.usual);

/** What is left of a length when so much of it is gone. */
function shorter(length: StepLength, by: number): StepLength {
  const less = (from: number): Seconds => seconds(Math.max(0, Math.ceil(from) - by));
  if (length.kind === 'rest')
    return {
      kind: 'rest',
      atLeast: less(length.atLeast),
      ...(length.atMost !== undefined && { atMost: less(length.atMost) }),
    };
  const range: DurationRange = {
    low: less(length.range.low),
    usual: less(length.range.usual),
    high: seconds(Math.max(1, less(length.range.high))),
  };
  if (length.kind === 'takes') return { kind: 'takes', range };
  return { ...length, pieces: Math.round(range.usual / length.per), range };
}

/** A step for several copies at once: each copy has its own pieces, trays and shelves; a pot is one pot. */
function scaled(step: Step, copies: number, { items }: Kitchen): Step {
  if (copies === 1 || step.scales === false) return step;
  const more = <C extends Claim>(claim: C): C =>
    items.find(({ name }) => name === claim.item)?.carriesPieces === true
      ? { ...claim, count: claim.count * copies }
      : claim;
  return {
    ...step,
    length: longer(step, copies),
    uses: step.uses.map(more),
    holds: step.holds.map(more),
    ...(step.oven && { oven: { ...step.oven, shelves: step.oven.shelves * copies } }),
  };
}

function longer({ length, scales }: Step, copies: number): StepLength {
  if (length.kind === 'rest' || (length.kind === 'takes' && scales !== true)) return length;
  const range: DurationRange = {
    low: seconds(length.range.low * copies),
    usual: seconds(length.range.usual * copies),
    high: seconds(length.range.high * copies),
  };
  return length.kind === 'takes'
    ? { kind: 'takes', range }
    : { ...length, pieces: length.pieces * copies, range };
}

/** Parts are named after their steps, and a plan may have a step of that very name. */
function uniquelyNamed(pieces: readonly Piece[]): Piece[] {
  const taken = new Set(pieces.filter(({ begins, ends }) => begins && ends).map(({ step }) => step.name));
  return pieces.map((piece) => {
    if (piece.begins && piece.ends) return piece;
    let name = piece.step.name;
    for (let count = 2; taken.has(name); count += 1) name = `${piece.step.name} ${count}`;
    taken.add(name);
    return { ...piece, step: { ...piece.step, name } };
  });
}
