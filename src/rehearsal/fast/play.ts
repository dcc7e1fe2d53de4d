import type { Course, PlayedRun } from './course.ts';
import { playReal } from './real.ts';

/** Plays one rehearsal without new timetables, and writes its outcome. The same course and seed give the same outcome. */
export function play(course: Course, seed: number, out: PlayedRun): void {
  playReal(course, seed, out);
}
