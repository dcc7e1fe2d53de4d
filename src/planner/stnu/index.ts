export type {
  ContingentLink,
  Controllability,
  CycleLink,
  DispatchNetwork,
  OrdinaryLink,
  UncertainNetwork,
  WaitLink,
} from './network.ts';
export { decide } from './decide.ts';
export { Executor, type Execution, type Standing } from './executor.ts';
