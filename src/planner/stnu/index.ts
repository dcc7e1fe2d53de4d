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
