import { seconds, secondsBetween, type EpochMs, type Seconds } from '../../units/index.ts';
import { lengthOf, outlook, type OnAir, type Outlook, type Pace, type Slot, type Worth } from './outlook.ts';

/** A showing that is made shorter (or longer), and what comes of it. */
export interface Change {
  readonly showing: string;
  readonly index: number;
  readonly from: Seconds;
  readonly to: Seconds;
  /** By how much the end moves: never more than the showing changes by, and less where something off view is waited for. */
  readonly gives: Seconds;
  /** The showing whose swap would else be too old, where the cut is for that: then it `gives` so much to its beginning. */
  readonly keeps?: string;
}

/** What is cut first. A finished plate is what they came for, and a step that is shown whole was meant to be seen whole. */
const LEAST_NEEDED: readonly Worth[] = ['talk', 'repeated', 'part', 'whole', 'beauty'];

/** A presenter is told round figures. */
const ROUND = 5;
const floor = (length: number): number => Math.floor(length / ROUND) * ROUND;

/** Which moment is to be moved, by how much, and before which showing something can be done for it. */
interface Aim {
  readonly moment: (going: Outlook) => EpochMs;
  readonly over: number;
  readonly before: number;
}

/**
 * What could be cut now or later so that the demonstration ends in time, the best first; nothing where it does not run over.
 *
 * What costs the story least is cut first: talk and breaks; then what is done again and again (`each`), of which the first
 * few tell everything; then parts of a step; then a whole step; then the finished plate. Of one kind, a cut that is enough
 * by itself comes before one that is not; of those that are, the one that takes the smallest share of its showing; of
 * those that are not, the one that gives most; and then the earliest, for what is cut cannot run over again.
 */
export function cutsFor(pace: Pace, onAir: OnAir): Change[] {
  const { over } = outlook(pace, onAir);
  return cutsTo(pace, onAir, { moment: ({ end }) => end, over, before: pace.slots.length });
}

/** What could be cut so that the next swap that would be too old is shown in time, the best first; nothing where none would. */
function cutsForSwap(pace: Pace, onAir: OnAir): Change[] {
  const going = outlook(pace, onAir).slots;
  const place = going.findIndex(({ start }, at) => {
    const by = pace.slots[onAir.showing + at]?.by;
    return at > 0 && by !== undefined && start > by;
  });
  const before = onAir.showing + place;
  const [threatened, slot] = [going[place], pace.slots[before]];
  if (!threatened || slot?.by === undefined) return [];
  const over = secondsBetween(slot.by, threatened.start);
  const moment = ({ slots, end }: Outlook): EpochMs => slots[place]?.start ?? end;
  return cutsTo(pace, onAir, { moment, over, before }).map((cut) => ({ ...cut, keeps: slot.id }));
}

/** Cuts of no more than they give: what is waited for off view cannot be made sooner. */
function cutsTo(pace: Pace, onAir: OnAir, aim: Aim): Change[] {
  if (aim.over <= 0) return [];
  return changes(pace, onAir, aim, (slot, from, shown) =>
    Math.min(from, Math.max(slot.shortest, shown, floor(from - aim.over))),
  )
    .map((cut) => ({ ...cut, to: seconds(Math.max(cut.to, floor(cut.from - cut.gives))) }))
    .toSorted((a, b) => byNeed(pace, a, b) || byReach(aim.over, a, b) || a.index - b.index);
}

/**
 * What could be stretched so that the demonstration ends in time, the best first; nothing where there is no time in hand.
 * In the order of cuts (an audience bears more talk), and the latest first: time in hand is good to have for as long as may be.
 */
export function stretchesFor(pace: Pace, onAir: OnAir): Change[] {
  const inHand = 0 - outlook(pace, onAir).over;
  if (inHand <= 0) return [];
  const aim: Aim = { moment: ({ end }) => end, over: inHand, before: pace.slots.length };
  return changes(pace, onAir, aim, (slot, from) => stretched(slot, from, inHand))
    .filter((change) => !agesASwap(pace, onAir, change))
    .toSorted((a, b) => byNeed(pace, a, b) || byReach(inHand, a, b) || b.index - a.index);
}

/**
 * What could be stretched so that the next wait for something off view is not spent in silence, the best first; nothing
 * where nothing is waited for. In the order of cuts, and the nearest to the wait first. It moves no end, so it `gives` what it fills.
 */
export function fillsFor(pace: Pace, onAir: OnAir): Change[] {
  const slots = outlook(pace, onAir).slots;
  const wait = slots.findIndex(({ waits }) => waits > 0);
  const silence = slots[wait]?.waits ?? 0;
  return pace.slots
    .slice(onAir.showing, onAir.showing + Math.max(0, wait))
    .flatMap((slot, place): Change[] => {
      const from = lengthOf(slot, onAir);
      const to = seconds(stretched(slot, from, silence));
      const index = onAir.showing + place;
      return to > from ? [{ showing: slot.id, index, from, to, gives: seconds(to - from) }] : [];
    })
    .filter((change) => !agesASwap(pace, onAir, change))
    .toSorted((a, b) => byNeed(pace, a, b) || byReach(silence, a, b) || b.index - a.index);
}

/** Whether a change lets a swap become too old that would else be right. */
function agesASwap(pace: Pace, onAir: OnAir, { showing, to }: Change): boolean {
  const late = ({ slots }: Outlook): number =>
    slots.filter(({ start }, at) => {
      const by = pace.slots[onAir.showing + at]?.by;
      return by !== undefined && start > by;
    }).length;
  const changed = { ...onAir, lengths: { ...onAir.lengths, [showing]: to } };
  return late(outlook(pace, changed)) > late(outlook(pace, onAir));
}

const stretched = (slot: Slot, from: Seconds, by: number): number =>
  Math.max(from, Math.min(slot.longest, floor(from + by)));

/** How much of what the end may be off by is left to what is still to come: a cut or a stretch is told from half of it on. */
const SPARED = 0.5;

/**
 * The cut to make now: the best that lets the next swap be shown in time; else, once the demonstration would use up half of
 * what its end may be late by, the best of {@link cutsFor}; else nothing.
 */
export const nextCut = (pace: Pace, onAir: OnAir): Change | undefined =>
  cutsForSwap(pace, onAir)[0] ??
  (outlook(pace, onAir).over > pace.within * SPARED ? cutsFor(pace, onAir)[0] : undefined);

/**
 * The stretch to make now: what fills the next silence; else, once the demonstration would use up half of what its end may
 * be early by, the best of {@link stretchesFor}; else nothing.
 */
export const nextStretch = (pace: Pace, onAir: OnAir): Change | undefined =>
  fillsFor(pace, onAir)[0] ??
  (outlook(pace, onAir).over + pace.within * SPARED < 0 ? stretchesFor(pace, onAir)[0] : undefined);

/** What each showing that is not over would give with the length that is wanted of it. */
function changes(
  pace: Pace,
  onAir: OnAir,
  { moment, before: end }: Aim,
  wanted: (slot: Slot, from: Seconds, shown: number) => number,
): Change[] {
  const before = moment(outlook(pace, onAir));
  return pace.slots.slice(0, end).flatMap((slot, index): Change[] => {
    if (index < onAir.showing) return [];
    const from = lengthOf(slot, onAir);
    // What has been shown already cannot be cut any more.
    const shown = index === onAir.showing ? secondsBetween(onAir.since, onAir.now) : 0;
    const to = seconds(wanted(slot, from, Math.ceil(shown / ROUND) * ROUND));
    const after = moment(outlook(pace, { ...onAir, lengths: { ...onAir.lengths, [slot.id]: to } }));
    const gives = seconds(Math.abs(secondsBetween(before, after)));
    return gives > 0 ? [{ showing: slot.id, index, from, to, gives }] : [];
  });
}

const needOf = ({ slots }: Pace, { index }: Change): number => {
  const slot = slots[index];
  return slot ? LEAST_NEEDED.indexOf(slot.worth) : LEAST_NEEDED.length;
};

const byNeed = (pace: Pace, a: Change, b: Change): number => needOf(pace, a) - needOf(pace, b);

/** Enough by itself first; then the smallest share of it, or the most that it gives. */
function byReach(wanted: number, a: Change, b: Change): number {
  const [enough, other] = [a.gives >= wanted, b.gives >= wanted];
  if (enough !== other) return enough ? -1 : 1;
  return enough ? shareOf(a) - shareOf(b) : b.gives - a.gives;
}

const shareOf = ({ from, to }: Change): number => Math.abs(from - to) / Math.max(1, from);
