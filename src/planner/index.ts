export type { OvenSetting, PlannedStep, Timetable } from './timetable.ts';
