import type { Component, ComponentId, StepId } from '../../plan/index.ts';
import type { Slot } from './slots.ts';

/** A step of a batch that is shown, or the part of it that is. */
export interface Touch {
  readonly slot: Slot;
  /** The step's place in its component. */
  readonly index: number;
}

/**
 * One making of a component: the object that the presenter begins on the table, a copy made ahead with its backups, or what such
 * a copy is made of. It goes from its component's first step to the last one that anybody wants of it.
 */
export interface Batch {
  readonly component: Component;
  readonly origin: Origin;
  /** In the order of the showings. */
  readonly touches: Touch[];
  /** How far it is worked: through this step, or only through the part of it that is shown. */
  reached: { index: number; partly: boolean };
  /** What its steps need of other components, by {@link needKey}. */
  readonly providers: Map<string, Provider>;
}

export interface Provider {
  readonly batch: Batch;
  /** The step that must be over. */
  readonly index: number;
}

export type Origin =
  /** It is begun on the table. */
  | { readonly kind: 'table' }
  | SwapOrigin
  /** It goes into a swap, or into its backup. */
  | { readonly kind: 'part'; readonly of: Batch }
  | BackupOrigin
  /** Only what follows its first showing is looked at. */
  | { readonly kind: 'carried' };

/** A copy to be safe, in a making of its own: as far as the swap is made ahead, and for the same showing. */
export interface BackupOrigin {
  readonly kind: 'backup';
  readonly of: SwapBatch;
  readonly parts: Map<ComponentId, Batch>;
}

export interface SwapOrigin {
  readonly kind: 'swap';
  /** Counts from 0. */
  readonly number: number;
  readonly use: 'shown' | 'needed' | 'beauty';
  /** The showing for which it is fetched. */
  readonly slot: Slot;
  /** Steps before this one are made ahead; and so is the first part of this one where it is fetched `inside`. */
  readonly madeTo: number;
  readonly inside: boolean;
  /** Batches of other components that go into it. */
  readonly parts: Map<ComponentId, Batch>;
  /** Its backup, where that has a making of its own. */
  readonly backups: Batch[];
}

export type SwapBatch = Batch & { readonly origin: SwapOrigin };

export const isSwap = (batch: Batch): batch is SwapBatch => batch.origin.kind === 'swap';

export const needKey = (index: number, needed: StepId): string => `${index} ${needed}`;

/** The swap that a batch is made for, or is itself. */
export function swapOf(batch: Batch): SwapBatch | undefined {
  if (isSwap(batch)) return batch;
  if (batch.origin.kind === 'backup') return batch.origin.of;
  return batch.origin.kind === 'part' ? swapOf(batch.origin.of) : undefined;
}

/** Letters as on labels: A to Z, then AA. */
export function letters(number: number): string {
  const letter = String.fromCodePoint(65 + (number % 26));
  return number < 26 ? letter : `${letters(Math.floor(number / 26) - 1)}${letter}`;
}
