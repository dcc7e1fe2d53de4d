export type { BenchEvent, Effect, Happening, Priority, RunSetup, Source } from './events.ts';
export type * from './state.ts';
export { answer, apply, begin, nextDeadline, project, replay } from './bench.ts';
