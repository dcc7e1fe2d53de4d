export type { Act, CookManner } from './cook.ts';
export type { Fault } from './faults.ts';
export { natureOf, type Nature } from './nature.ts';
export { createRehearsal, type Rehearsal, type RehearsalOptions } from './rehearsal.ts';
export { rehearseToEnd, type RehearsalEnd, type ToEndOptions } from './to-end.ts';
