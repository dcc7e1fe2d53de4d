import type { BenchEvent, BenchState, Effect, Happening } from '../bench/index.ts';
import type { EpochMs } from '../units/index.ts';

/**
 * What a board holds of a run: a replica of its state, the keeper's clock, and a way to press.
 *
 * It is the same whether the keeper is another process (see `attach`) or lives in this one (see `openLocalKeeper`).
 * A board knows nothing else of keepers, sockets or journals.
 */
export interface RunLink {
  /** The state after the latest event that came; immutable. */
  readonly state: BenchState;
  /** The keeper's time now: what countdowns count to. Goes on between beats, and never backwards but where a rehearsal is taken back. */
  clock(): EpochMs;
  /**
   * An act of the cook. Resolves once it is in the journal and `state` shows it, or was refused with words for people.
   * While the keeper is away it waits, and is sent again with the same id when the keeper is back. Never rejects.
   */
  press(happening: Happening): Promise<Pressed>;
  /** Hears of every change from now on; the answer ends it. Listeners are called in the order they came. */
  subscribe(listener: (change: LinkChange) => void): () => void;
  /** Lets go of the run; the keeper goes on. Presses still waiting are refused. */
  close(): Promise<void>;
  /** Ends the run's keeper; the run stays in the journal and can be resumed. Resolves once it has ended. */
  stopRun(): Promise<void>;
}

export type Pressed = { readonly ok: true } | { readonly ok: false; readonly why: string };

export type LinkChange =
  /** `effects` is what the event let out: what a board's bell rings for. */
  | {
      readonly kind: 'event';
      readonly event: BenchEvent;
      readonly state: BenchState;
      readonly effects: readonly Effect[];
    }
  /** About once a second: time has gone on. */
  | { readonly kind: 'beat' }
  /** The keeper does not answer; the link goes on trying. */
  | { readonly kind: 'lost'; readonly detail: string }
  /** The keeper, or a new one for the same run, answers again and `state` is up to date. */
  | { readonly kind: 'back' }
  /** The keeper cannot do its work (the disk is full): presses are refused and nothing moves until `trouble over`. */
  | { readonly kind: 'trouble'; readonly detail: string }
  | { readonly kind: 'trouble over' }
  /** A rehearsal was taken back to an earlier moment: `state` and `clock` are those of that moment. Never a live run. */
  | { readonly kind: 'rewound' }
  /** The keeper has ended. Nothing comes after this. */
  | { readonly kind: 'ended'; readonly reason: EndReason; readonly detail?: string };

/** Why a keeper ends: everything went out, somebody asked, or it could not go on. */
export type EndReason = 'served' | 'stopped' | 'failed';
