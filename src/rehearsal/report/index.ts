export { reportJson } from './json.ts';
export type { Report } from './report.ts';
export { study, studied, type Batch, type Ended, type StudyOptions } from './study.ts';
export { worker, type Done, type Job } from './work.ts';
export { gotNotes, reportText } from './words.ts';
