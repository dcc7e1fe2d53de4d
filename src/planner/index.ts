export {
  planTimetable,
  type PlanRequest,
  type PlanResult,
  type Refusal,
  type ServiceRequest,
} from './plan.ts';
export type { OvenSetting, PlannedStep, Timetable } from './timetable.ts';
export { verify, type VerifiedRule, type VerifyOptions, type Violation } from './verify.ts';
