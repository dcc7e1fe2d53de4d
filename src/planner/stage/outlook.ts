import { later, plus, secondsBetween, seconds, type EpochMs, type Seconds } from '../../units/index.ts';

/** What of the story is lost by a cut, the least first: see {@link cutsFor}. */
export type Worth = 'talk' | 'repeated' | 'part' | 'whole' | 'beauty';

/** A showing as far as its time goes. */
export interface Slot {
  readonly id: string;
  /** As the rundown has it. */
  readonly length: Seconds;
  /** What it may be cut to and stretched to; both its length where nature decides. */
  readonly shortest: Seconds;
  readonly longest: Seconds;
  readonly worth: Worth;
  /** The work off view that must be over before it. */
  readonly waits: readonly OffView[];
  /** When it must have begun, for the swap that it shows to be right. */
  readonly by?: EpochMs;
}

/** Work off view: it begins with the end of an earlier showing (-1: with the demonstration), and takes so long. */
export interface OffView {
  readonly after: number;
  readonly for: Seconds;
}

/** A demonstration as far as its time goes: what an outlook and a cut are reckoned from. */
export interface Pace {
  readonly slots: readonly Slot[];
  /** Time on air. */
  readonly lasts: Seconds;
  /** How far off the end may be. */
  readonly within: Seconds;
}

/** How a demonstration stands at a moment on air. */
export interface OnAir {
  readonly now: EpochMs;
  /** When it went on air. */
  readonly begun: EpochMs;
  /** The index of the showing that is going; the number of showings where all are over. */
  readonly showing: number;
  /** When that showing began. */
  readonly since: EpochMs;
  /** The ends of showings that are over, by index, where something waits for them. */
  readonly ended?: Readonly<Record<number, EpochMs>>;
  /** When what a showing waits for is expected to be over, where that is known better than from the usual lengths. */
  readonly ready?: Readonly<Record<string, EpochMs>>;
  /** Until when the swap that a showing takes is right, where that is known better than from the rundown. */
  readonly by?: Readonly<Record<string, EpochMs>>;
  /** New lengths that have been chosen, by showing; 0 for one that is left out. */
  readonly lengths: Readonly<Record<string, Seconds>>;
}

/** How it will go on if everything takes its usual time. */
export interface Outlook {
  /** From the one that is going on, in order; `waits` is dead air before it, for something off view. */
  readonly slots: readonly {
    readonly id: string;
    readonly start: EpochMs;
    readonly end: EpochMs;
    readonly waits: Seconds;
  }[];
  readonly end: EpochMs;
  /** How long after its time it ends; negative where it ends before. */
  readonly over: Seconds;
}

/** What is reckoned with: a showing's chosen length, or the one of the rundown. */
export const lengthOf = (slot: Slot, { lengths }: Pick<OnAir, 'lengths'>): Seconds =>
  lengths[slot.id] ?? slot.length;

/** Whether a showing is left out. */
export const isOut = (id: string, { lengths }: Pick<OnAir, 'lengths'>): boolean => lengths[id] === 0;

/** When what a showing waits for is over; undefined where it waits for nothing that is known. */
function readyAt(
  { id, waits }: Slot,
  { ready }: OnAir,
  ends: ReadonlyMap<number, EpochMs>,
): EpochMs | undefined {
  const known = ready?.[id];
  if (known !== undefined) return known;
  const moments = waits.flatMap(({ after, for: length }): EpochMs[] => {
    const end = ends.get(after);
    return end === undefined ? [] : [plus(end, length)];
  });
  const [first, ...others] = moments;
  return first && others.reduce((latest, moment) => later(latest, moment), first);
}

/** How the demonstration goes on from here, with what was chosen so far. */
export function outlook({ slots, lasts }: Pace, onAir: OnAir): Outlook {
  const { now, begun, showing, since } = onAir;
  const ends = new Map<number, EpochMs>([
    [-1, begun],
    ...Object.entries(onAir.ended ?? {}).map(([index, end]) => [Number(index), end] as const),
  ]);
  let end = showing < slots.length ? since : now;
  const going: Outlook['slots'][number][] = [];
  for (const [index, slot] of slots.entries()) {
    if (index < showing) continue;
    if (index > showing && isOut(slot.id, onAir)) {
      if (!ends.has(index)) ends.set(index, end);
      going.push({ id: slot.id, start: end, end, waits: seconds(0) });
      continue;
    }
    const start = index === showing ? since : later(end, readyAt(slot, onAir, ends) ?? end);
    const waits = seconds(Math.max(0, secondsBetween(end, start)));
    const over = plus(start, lengthOf(slot, onAir));
    end = index === showing ? later(over, now) : over;
    ends.set(index, end);
    going.push({ id: slot.id, start, end, waits });
  }
  return { slots: going, end, over: seconds(secondsBetween(plus(begun, lasts), end)) };
}
