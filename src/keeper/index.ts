export { benchEngine } from './bench-engine.ts';
export { attach, type BoardLink } from './client.ts';
export { noteFeeds } from './feeds.ts';
export { machineClock, momentOf, simulatedClock, type SimulatedClock } from './clock.ts';
export type { EndReason, LinkChange, Pressed, RunLink } from './link.ts';
export { openLocalKeeper, type LocalKeeper } from './local.ts';
export { keeperMain } from './main.ts';
export { directReplanner } from './replanner.ts';
export { spawnKeeper } from './spawn.ts';
