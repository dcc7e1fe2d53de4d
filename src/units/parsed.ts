/** What reading a piece of text gives: the value, or what is wrong with it and what would be right. Never an exception. */
export type Parsed<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly problem: string; readonly hint: string };

export const parsed = <T>(value: T): Parsed<T> => ({ ok: true, value });

export const unreadable = <T>(problem: string, hint: string): Parsed<T> => ({ ok: false, problem, hint });
