export { airSteps, AT_ONCE_S, type AirStep } from './on-air.ts';
export { cutsFor, nextChange, type Change as StageChange } from './cuts.ts';
export { outlook, type OnAir, type Outlook, type Pace, type Slot } from './outlook.ts';
export { paceOf } from './pace.ts';
export { planDemonstration } from './demonstrate.ts';
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
} from './rundown.ts';
