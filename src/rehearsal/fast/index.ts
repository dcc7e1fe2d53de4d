export {
  courseOf,
  createPlayedRun,
  windowsOf,
  type Course,
  type CourseOptions,
  type PlayedRun,
} from './course.ts';
export { play } from './play.ts';
export { playReal } from './real.ts';
export type { Window } from './windows.ts';
