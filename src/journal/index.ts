export {
  decodeEvent,
  decodeSetup,
  encodeEvent,
  encodeSetup,
  happeningSchema,
  parseJson,
  setupSchema,
} from './forms.ts';
export { memoryJournal, type Contents, type Journal } from './journal.ts';
export { listRuns, type ListedRun } from './list.ts';
export { runTimeAt, type Moment } from './moment.ts';
export { isOwned, readOwner } from './owner.ts';
export { RECOVERY, type RunFacts } from './recovery.ts';
export { createRun, openRun, type OpenedRun } from './runs.ts';
export { checkFolder, defaultStore, journalPath, runFolder, type Store } from './store.ts';
