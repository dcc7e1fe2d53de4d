export type { BenchEvent, Effect, Happening, Priority, RunSetup, Source } from './events.ts';
export type * from './state.ts';
export { answer, apply, begin, describe, nextDeadline, project, replay, undoable } from './bench.ts';
export { mermaid } from './chart.ts';
