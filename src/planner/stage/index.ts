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
