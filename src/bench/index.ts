export type { BenchEvent, Effect, Happening, Offer, Priority, RunSetup, Source } from './events.ts';
export type * from './state.ts';
export { answer, apply, nextDeadline, project, replay } from './bench.ts';
export { begin } from './carry.ts';
export { describe, undoable } from './undo.ts';
export { mermaid } from './chart.ts';
export { progressOf } from './progress.ts';
export { happeningOf, wantsReplan } from './replanning.ts';
