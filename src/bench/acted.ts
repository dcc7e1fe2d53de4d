import type { BenchState } from './state.ts';

/** What an act makes of the run, or why it cannot be. */
export type Acted =
  | { readonly ok: true; readonly state: BenchState }
  | { readonly ok: false; readonly why: string };

export const acted = (state: BenchState): Acted => ({ ok: true, state });
export const refused = (why: string): Acted => ({ ok: false, why });
