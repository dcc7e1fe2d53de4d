import type { Happening, ServiceMove } from '../bench/index.ts';

/** What a line of words asks for. */
export type Asked =
  | { readonly kind: 'send'; readonly happenings: readonly Happening[]; readonly said: string }
  | { readonly kind: 'say'; readonly text: string }
  /** What it would mean if service were moved; and that it is moved so. */
  | { readonly kind: 'suppose'; readonly moves: readonly ServiceMove[] }
  | { readonly kind: 'move service'; readonly withTimetable: boolean }
  | { readonly kind: 'status' | 'help' | 'quit' | 'stop' | 'nothing' };

export const say = (text: string): Asked => ({ kind: 'say', text });
export const send = (happening: Happening, said: string): Asked => ({
  kind: 'send',
  happenings: [happening],
  said,
});
