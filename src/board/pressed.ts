import type { BenchState, Happening, ServiceMove } from '../bench/index.ts';
import type { Mishap } from '../rehearsal/index.ts';
import type { EpochMs } from '../units/index.ts';
import type { Control } from './rehearsing.ts';
import { noted, type Prompt, type Ui } from './ui.ts';

/** A key as the board knows it: a sign (letters small), or one of these words. */
export type Key = string;

/** What a key sets off outside the board's own state. */
export type Act =
  /** An act of the cook for the keeper; `said` is what the board says once it is taken. `key` names what it answers. */
  | { readonly kind: 'send'; readonly happening: Happening; readonly said: string; readonly key?: string }
  | { readonly kind: 'redraw' }
  /** Asks what moving service would mean; nothing happens by it. */
  | { readonly kind: 'suppose'; readonly moves: readonly ServiceMove[] }
  /** Something is asked of the rehearsal that this run is. */
  | { readonly kind: 'rehearse'; readonly control: Control }
  /** Close the board, leave the run going. */
  | { readonly kind: 'leave' }
  /** End the run's keeper. */
  | { readonly kind: 'end run' };

export interface Pressing {
  readonly state: BenchState;
  /** The keeper's clock. */
  readonly now: EpochMs;
  /** The board's steady clock, ms. */
  readonly at: number;
  /** Since when, on the steady clock, the topmost thing stands on the screen. */
  readonly shownSince: number;
  /** Only where the run is a rehearsal, which has keys of its own: what can be made to go wrong now. */
  readonly mishaps?: () => readonly Mishap[];
}

export interface Pressed {
  readonly ui: Ui;
  readonly acts: readonly Act[];
}

/** Nothing to do but to show this. */
export const only = (ui: Ui): Pressed => ({ ui, acts: [] });
/** An act for the keeper. A component was chosen for this act, and not for whatever comes later. */
export function send(ui: Ui, happening: Happening, said: string, key?: string): Pressed {
  const { selected: _, ...rest } = ui;
  return {
    ui: key === undefined ? rest : { ...rest, sent: [...ui.sent, key] },
    acts: [{ kind: 'send', happening, said, ...(key === undefined ? {} : { key }) }],
  };
}

/** Nothing is done, and why. */
export const refuse = (ui: Ui, why: string, { at }: Pressing): Pressed => only(noted(ui, why, at, true));
/** Waits for a second press. */
export const ask = (ui: Ui, prompt: Prompt, { at }: Pressing): Pressed =>
  only({ ...ui, prompt: { ...prompt, askedAt: at } });
