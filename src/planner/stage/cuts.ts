import { seconds, secondsBetween, type EpochMs, type Seconds } from '../../units/index.ts';
import {
  isOut,
  lengthOf,
  outlook,
  type OnAir,
  type Outlook,
  type Pace,
  type Slot,
  type Worth,
} from './outlook.ts';

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
function cutsForSwap(pace: Pace, onAir: OnAir, kept: Kept): Change[] {
  const going = outlook(pace, onAir).slots;
  const place = going.findIndex(({ id, start }) => start > (kept.get(id) ?? start));
  const threatened = going[place];
  const by = threatened && kept.get(threatened.id);
  if (!threatened || by === undefined) return [];
  const moment = ({ slots, end }: Outlook): EpochMs => slots[place]?.start ?? end;
  const aim = { moment, over: secondsBetween(by, threatened.start), before: onAir.showing + place };
  return cutsTo(pace, onAir, aim).map((cut) => ({ ...cut, keeps: threatened.id }));
}

/** By what takes them: until when the swaps are right that can still be shown in time. */
type Kept = ReadonlyMap<string, EpochMs>;

/** Those that would be shown in time if everything before them were cut to its shortest. */
function keepable(pace: Pace, onAir: OnAir): Kept {
  const least = pace.slots.map((slot, index): [string, Seconds] => {
    const shown = shownOf(index, onAir);
    return [slot.id, seconds(Math.min(lengthOf(slot, onAir), Math.max(slot.shortest, shown)))];
  });
  const { slots } = outlook(pace, { ...onAir, lengths: Object.fromEntries(least) });
  return new Map(
    slots.flatMap(({ id, start }, place) => {
      const by = onAir.by?.[id] ?? pace.slots[onAir.showing + place]?.by;
      return place > 0 && by !== undefined && start <= by && !isOut(id, onAir) ? [[id, by] as const] : [];
    }),
  );
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
  return changes(pace, onAir, aim, (slot, from, shown) => stretched(slot, from, shown, inHand)).toSorted(
    (a, b) => byNeed(pace, a, b) || byReach(inHand, a, b) || b.index - a.index,
  );
}

/**
 * What could be stretched so that the next wait for something off view is not spent in silence, the best first; nothing
 * where nothing is waited for. In the order of cuts, and the nearest to the wait first. It moves no end, so it `gives` what it fills.
 */
export function fillsFor(pace: Pace, onAir: OnAir): Change[] {
  const { slots } = outlook(pace, onAir);
  const place = slots.findIndex(({ waits }) => waits > 0);
  const silence = slots[place]?.waits ?? 0;
  if (silence === 0) return [];
  // What is said for longer ends later: the silence is shorter by as much.
  const moment = ({ slots: going }: Outlook): EpochMs => going[place - 1]?.end ?? onAir.now;
  const aim = { moment, over: silence, before: onAir.showing + place };
  return changes(pace, onAir, aim, (slot, from, shown) => stretched(slot, from, shown, silence)).toSorted(
    (a, b) => byNeed(pace, a, b) || byReach(silence, a, b) || b.index - a.index,
  );
}

/** Longer by so much than it is meant to be, or than it has been already. */
const stretched = (slot: Slot, from: Seconds, shown: number, by: number): number =>
  Math.max(from, Math.min(slot.longest, floor(Math.max(from, shown) + by)));

/** How much of what the end may be off by is left to what is still to come: a cut or a stretch is told from half of it on. */
const SPARED = 0.5;

/** What gives less is not worth a look at the screen, s. */
const WORTH_S = 5;

/**
 * The one change to make now, nothing where all is well: the best cut that lets the next swap be shown in time; else, once the
 * demonstration would use up half of what its end may be late by, the best of {@link cutsFor}; else what fills the next
 * silence; else, once it would use up half of what its end may be early by, the best of {@link stretchesFor}.
 *
 * Every change makes {@link Troubles} less, so none undoes another, and whoever takes one after the other comes to an end.
 */
export function nextChange(pace: Pace, onAir: OnAir): Change | undefined {
  const kept = keepable(pace, onAir);
  const before = troublesOf(outlook(pace, onAir), kept);
  const helps = (change: Change): boolean =>
    change.gives >= WORTH_S && isLess(troublesOf(outlook(pace, changed(onAir, change)), kept), before);
  const { over } = outlook(pace, onAir);
  const spared = pace.within * SPARED;
  return (
    cutsForSwap(pace, onAir, kept).find(helps) ??
    (over > spared ? cutsFor(pace, onAir).find(helps) : undefined) ??
    fillsFor(pace, onAir).find(helps) ??
    (over < -spared ? stretchesFor(pace, onAir).find(helps) : undefined)
  );
}

/** What is wrong with how it goes on, in seconds, the worst first: a spoilt swap cannot be mended by being in time. */
interface Troubles {
  /** By how much swaps will be too old that need not be. */
  readonly aged: number;
  /** How far from its time it ends. */
  readonly off: number;
  /** Dead air. */
  readonly silent: number;
}

function troublesOf({ slots, over }: Outlook, kept: Kept): Troubles {
  const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);
  return {
    aged: sum(slots.map(({ id, start }) => Math.max(0, secondsBetween(kept.get(id) ?? start, start)))),
    off: Math.abs(over),
    silent: sum(slots.map(({ waits }) => waits)),
  };
}

const isLess = (a: Troubles, b: Troubles): boolean =>
  a.aged !== b.aged ? a.aged < b.aged : a.off !== b.off ? a.off < b.off : a.silent < b.silent;

const changed = (onAir: OnAir, { showing, to }: Pick<Change, 'showing' | 'to'>): OnAir => ({
  ...onAir,
  lengths: { ...onAir.lengths, [showing]: to },
});

/** What each showing that is not over would give with the length that is wanted of it. */
function changes(
  pace: Pace,
  onAir: OnAir,
  { moment, before: end }: Aim,
  wanted: (slot: Slot, from: Seconds, shown: number) => number,
): Change[] {
  const before = moment(outlook(pace, onAir));
  return pace.slots.slice(0, end).flatMap((slot, index): Change[] => {
    if (index < onAir.showing || isOut(slot.id, onAir)) return [];
    const from = lengthOf(slot, onAir);
    const to = seconds(wanted(slot, from, shownOf(index, onAir)));
    const after = moment(outlook(pace, changed(onAir, { showing: slot.id, to })));
    const gives = seconds(Math.abs(secondsBetween(before, after)));
    return gives > 0 ? [{ showing: slot.id, index, from, to, gives }] : [];
  });
}

/** What has been shown of it already, in round figures: that cannot be cut any more. */
const shownOf = (index: number, { showing, since, now }: OnAir): number =>
  index === showing ? Math.max(0, Math.ceil(secondsBetween(since, now) / ROUND) * ROUND) : 0;

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
