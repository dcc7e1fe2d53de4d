import type { Happening, Source } from '../bench/index.ts';
import { openCore, type CoreChange, type CoreOptions, type Taken } from './core.ts';
import type { LinkChange, Pressed, RunLink } from './link.ts';

/** A keeper that lives in this process: the same heart, without socket or background process. */
export interface LocalKeeper extends RunLink {
  /** Lets the run see what time it is by its clock; to be called whenever that has moved. */
  tick(): void;
  /** An act that is not the cook's: a simulated cook's or probe's. */
  act(source: Source, happening: Happening): Pressed;
}

/** Takes up a run in this process. By default its clock may jump as far as it likes without that being a gap. */
export function openLocalKeeper(options: CoreOptions): LocalKeeper {
  const core = openCore({ longestSilence: Infinity, ...options });
  const act = (source: Source, happening: Happening): Pressed => {
    let answer: Taken = { ok: false, why: 'the keeper has ended' };
    // The same rehearsal names its acts alike, whenever it is played.
    const id = `act-${core.journal.events.length + 1}`;
    core.take({ kind: 'act', id, source, happening }, (taken) => (answer = taken));
    return answer.ok ? { ok: true } : answer;
  };
  return {
    get state() {
      return core.state;
    },
    clock: () => core.now(),
    press: (happening) => Promise.resolve(act('cook', happening)),
    subscribe: (listener) => core.watch((change) => listener(linkChange(change))),
    close: () => Promise.resolve(core.journal.close()),
    stopRun() {
      core.take({ kind: 'stop', reason: 'stopped' });
      return Promise.resolve(core.journal.close());
    },
    tick() {
      core.take({ kind: 'tick' });
    },
    act,
  };
}

function linkChange(change: CoreChange): LinkChange {
  if (change.kind !== 'event') return change;
  const { kind, event, state, effects } = change;
  return { kind, event, state, effects };
}
