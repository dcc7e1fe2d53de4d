export {
  decodeEvent,
  decodeSetup,
  encodeEvent,
  encodeSetup,
  happeningSchema,
  parseJson,
  setupSchema,
} from './forms.ts';
export { memoryJournal, type Appended, type Contents, type Journal } from './journal.ts';
export { listRuns, type ListedRun } from './list.ts';
export { runTimeAt, type Moment, type RunTime, type Stamp } from './moment.ts';
export { isOwned, readOwner, type OwnerCard } from './owner.ts';
export type { Problem, ProblemCode, Result } from './problem.ts';
export { RECOVERY, type RecoveryRow, type RunCase, type RunFacts } from './recovery.ts';
export { createRun, openRun, type OpenedRun, type Opening } from './runs.ts';
export { checkFolder, defaultStore, isRunName, journalPath, runFolder, type Store } from './store.ts';
