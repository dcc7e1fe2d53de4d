import { earlier, seconds, type EpochMs, type Seconds } from '../../units/index.ts';
import { airSteps, type AirStep } from './on-air.ts';
import type { OffView, Pace, Slot, Worth } from './outlook.ts';
import type { Rundown, Showing } from './rundown.ts';

/** A rundown as far as its time goes. */
export function paceOf(rundown: Rundown): Pace {
  const waits = waitsOf(airSteps(rundown));
  const slots = rundown.showings.map((showing, index): Slot => ({
    id: showing.step,
    length: showing.length.usual,
    shortest: showing.shortest,
    longest: showing.longest,
    worth: worthOf(showing),
    waits: waits.get(index) ?? [],
    ...byOf(rundown, showing),
  }));
  return { slots, lasts: rundown.lasts, within: rundown.within };
}

function worthOf({ shows }: Showing): Worth {
  if (shows.kind === 'beauty') return 'beauty';
  if (shows.kind !== 'step') return 'talk';
  return shows.part === 'whole' ? 'whole' : 'part';
}

/** The earliest moment until which a swap that it takes may be used. */
function byOf({ swaps }: Rundown, { step }: Showing): { readonly by?: EpochMs } {
  const moments = swaps.flatMap((swap) =>
    swap.for === step && swap.useBy !== undefined ? [swap.useBy] : [],
  );
  const [first, ...others] = moments;
  return first === undefined ? {} : { by: others.reduce((a, b) => earlier(a, b), first) };
}

/** What each showing waits for off view, by its index: the longest way to it from the end of each earlier showing. */
function waitsOf(air: readonly AirStep[]): Map<number, OffView[]> {
  const found = new Map<number, OffView[]>();
  /** Of each step off view, how long after the end of a showing it is over. */
  const ways = new Map<number, ReadonlyMap<number, Seconds>>();
  for (const [place, step] of air.entries()) {
    const reached = new Map<number, Seconds>();
    const reach = (showing: number, after: number): void =>
      void reached.set(showing, seconds(Math.max(after, reached.get(showing) ?? 0)));
    if (step.follows.length === 0 || step.notBefore > 0) reach(-1, step.notBefore);
    for (const { index, lag } of step.follows) {
      const showing = air[index]?.showing;
      if (showing !== undefined) reach(showing, lag);
      else for (const [from, length] of ways.get(index) ?? []) reach(from, length + lag);
    }
    if (step.showing === undefined) {
      ways.set(place, new Map([...reached].map(([from, after]) => [from, seconds(after + step.usual)])));
    } else {
      // What follows a showing at once is no work off view.
      const offView = [...reached].filter(([, after]) => after > 0);
      found.set(
        step.showing,
        offView.map(([after, length]) => ({ after, for: length })),
      );
    }
  }
  return found;
}
