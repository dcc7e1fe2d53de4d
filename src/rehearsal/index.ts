export type { Fault } from './faults.ts';
export { createRehearsal, type Rehearsal } from './rehearsal.ts';
export { rehearseToEnd, type RehearsalEnd } from './to-end.ts';
