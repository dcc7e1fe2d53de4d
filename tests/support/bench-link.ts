import {
  apply,
  begin,
  nextDeadline,
  type BenchState,
  type Happening,
  type RunSetup,
} from '../../src/bench/index.ts';
import type { LinkChange, RunLink } from '../../src/keeper/index.ts';
import { epochMs, type EpochMs } from '../../src/units/index.ts';

/** A link to a run that lives in this process, without journal or keeper: the real bench, a clock of the test's own. */
export interface BenchLink extends RunLink {
  /** Lets the bench see what time it is. */
  tick(): void;
  /** Makes the link tell its listeners something a keeper would. */
  tell(change: LinkChange): void;
  /** Every happening that was pressed, in order. */
  readonly pressed: readonly Happening[];
}

export function benchLink(setup: RunSetup, clock: () => EpochMs, from: BenchState = begin(setup)): BenchLink {
  let state = from;
  let count = from.history.length;
  const listeners = new Set<(change: LinkChange) => void>();
  const pressed: Happening[] = [];
  const tell = (change: LinkChange): void => [...listeners].forEach((listener) => listener(change));
  const take = (happening: Happening, source: 'cook' | 'clock', time: EpochMs): string | undefined => {
    count += 1;
    const event = { id: `e${count}`, time: epochMs(Math.max(time, state.time)), source, ...happening };
    const outcome = apply(state, event);
    if (!outcome.ok) return outcome.why;
    state = outcome.state;
    tell({ kind: 'event', event, state, effects: outcome.effects });
    return undefined;
  };
  const tick = (): void => {
    const now = clock();
    const due = nextDeadline(state);
    if (due !== undefined && due <= now) take({ kind: 'clock' }, 'clock', now);
    tell({ kind: 'beat' });
  };
  return {
    get state() {
      return state;
    },
    clock,
    press(happening) {
      pressed.push(happening);
      const why = take(happening, 'cook', clock());
      if (why === undefined && state.servedAt !== undefined) tell({ kind: 'ended', reason: 'served' });
      return Promise.resolve(why === undefined ? { ok: true } : { ok: false, why });
    },
    subscribe(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    close: () => Promise.resolve(),
    stopRun() {
      tell({ kind: 'ended', reason: 'stopped' });
      return Promise.resolve();
    },
    tick,
    tell,
    pressed,
  };
}
