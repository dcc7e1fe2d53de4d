export { benchEngine } from './bench-engine.ts';
export { attach, type Attached, type AttachOptions } from './client.ts';
export {
  fasterClock,
  machineClock,
  momentOf,
  simulatedClock,
  type Clock,
  type SimulatedClock,
} from './clock.ts';
export type { BenchEngine } from './engine.ts';
export type { EndReason, LinkChange, Pressed, RunLink } from './link.ts';
export { openLocalKeeper, type LocalKeeper } from './local.ts';
export { keeperMain } from './main.ts';
export { spawnKeeper, type Spawned, type SpawnOptions } from './spawn.ts';
