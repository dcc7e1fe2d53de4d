export { lookAhead, type AheadOptions } from './ahead.ts';
export type { Fault } from './faults.ts';
export { missedIn, type Missed } from './missed.ts';
export type { Mishap } from './mishaps.ts';
export type { Sight } from './own-hands.ts';
export { createRehearsal, type Hands, type Rehearsal } from './rehearsal.ts';
export { isTold } from './told.ts';
export { rehearseToEnd, type RangAlarm, type RehearsalEnd } from './to-end.ts';
export {
  courseOf,
  createPlayedRun,
  play,
  playReal,
  windowsOf,
  type Course,
  type CourseOptions,
  type PlayedRun,
  type Window,
} from './fast/index.ts';
export { LIFELIKE, type Life } from './life.ts';
export {
  rehearseStage,
  stageReportJson,
  stageReportText,
  type Presenter,
  stageStudy,
  type StageReport,
  type StageStudy,
} from './stage/index.ts';
export {
  gotNotes,
  reportJson,
  reportText,
  studied,
  study,
  worker,
  type Batch,
  type Done,
  type Ended,
  type Job,
  type Report,
  type StudyOptions,
} from './report/index.ts';
