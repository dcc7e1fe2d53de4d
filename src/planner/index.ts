export {
  planTimetable,
  type PlanRequest,
  type PlanResult,
  type Refusal,
  type ServiceRequest,
} from './plan.ts';
export type { OvenSetting, PlannedStep, Timetable } from './timetable.ts';
export { verify, type VerifiedRule, type VerifyOptions, type Violation } from './verify.ts';
export type { OvenStanding, Progress, StepStanding } from './progress.ts';
export { changesBetween, type Change } from './changes.ts';
export {
  asHappened,
  replan,
  type BrokenWindow,
  type OtherWay,
  type Proposal,
  type ReplanRequest,
  type ReplanResult,
} from './replan.ts';
export { eased, waysOut, type Easing, type WayOut, type WaysOutOptions } from './ways-out/index.ts';
export { limits, type Gain, type LimitLink, type Limits } from './limits.ts';
export {
  airSteps,
  AT_ONCE_S,
  cutsFor,
  nextChange,
  outlook,
  paceOf,
  planDemonstration,
  type AirStep,
  type OnAir,
  type Outlook,
  type Pace,
  type Slot,
  type StageChange,
} from './stage/index.ts';
export type {
  Brought,
  Job,
  Rundown,
  Showing,
  ShownFrom,
  StageRequest,
  StageResult,
  Swap,
  SwapState,
  Waiting,
} from './stage/index.ts';
export {
  promiseDispatch,
  promiseOnTheWay,
  type Came,
  type Kept,
  type PromiseDispatch,
  type PromisePoint,
} from './promise-dispatch.ts';
export { holdingTimetable, type Holding } from './promise-orders.ts';
export { promiseLine, promiseOf, promiseWords, type Promised } from './promise.ts';
