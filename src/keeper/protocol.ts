import type { BenchEvent, Happening, RunSetup } from '../bench/index.ts';

/*
 * What a board and the keeper say to each other over the run's socket: one JSON object a line, UTF-8, at most 64 KiB
 * from a board and 8 MiB from the keeper. A line that is no such object ends the connection.
 */

/** The protocol's version; a keeper refuses a board that speaks another. */
export const PROTOCOL = 1;

export type FromBoard =
  /** First line: send me the setup and every event after `after` (0 for all), and go on as they come. */
  | { readonly say: 'attach'; readonly protocol: number; readonly after: number }
  /** An act of the cook. `id` makes sending it twice harmless; the keeper stamps the time, and lets no `at` lie after it. */
  | { readonly say: 'press'; readonly id: string; readonly happening: Happening }
  /** End the run's keeper (the run stays in the journal and can be resumed). */
  | { readonly say: 'stop'; readonly id: string };

export type FromKeeper =
  | { readonly say: 'setup'; readonly protocol: number; readonly setup: RunSetup; readonly seq: number }
  /** Events in order; `seq` counts journalled events from 1. `clock` is the keeper's time when it sent this, in epoch ms. */
  | { readonly say: 'event'; readonly seq: number; readonly event: BenchEvent; readonly clock: number }
  /** Sent once a second: the keeper's clock, so that a board's countdowns agree with it. */
  | { readonly say: 'beat'; readonly clock: number }
  /** The press with this id is in the journal and applied. */
  | { readonly say: 'taken'; readonly id: string; readonly seq: number }
  /** The press with this id changed nothing; why, for people. */
  | { readonly say: 'refused'; readonly id: string; readonly why: string }
  /** The keeper ends: the run was served, or someone asked. */
  | { readonly say: 'end'; readonly reason: 'served' | 'stopped' | 'failed'; readonly detail?: string };
