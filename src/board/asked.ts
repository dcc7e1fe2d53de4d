import type { Happening } from '../bench/index.ts';

/** What a line of words asks for. */
export type Asked =
  | { readonly kind: 'send'; readonly happenings: readonly Happening[]; readonly said: string }
  | { readonly kind: 'say'; readonly text: string }
  | { readonly kind: 'status' | 'help' | 'quit' | 'stop' | 'nothing' };

export const say = (text: string): Asked => ({ kind: 'say', text });
export const send = (happening: Happening, said: string): Asked => ({
  kind: 'send',
  happenings: [happening],
  said,
});
