import type { Parsed } from '../units/index.ts';

/** Figures that hold where a file says nothing. Those of the oven are guesses at a household oven; measure your own. */
export const DEFAULTS = {
  margin: '10 min',
  airWithin: '30 s',
  room: '21 C',
  cooks: 1,
  nearPerCook: 2,
  shelves: 2,
  heats: '12 C/min',
  cools: '3 C/min',
  tolerance: '8 C',
  soak: '10 min',
  probeLasting: '10 s',
  probeLimits: '-50 - 300 C',
  probeFastest: '10 C/s',
  probeStale: '2 min',
  iceWater: '0 C',
  scale: 'C',
} as const;

/** What one of the defaults means. They are our own, and readable. */
export function known<T>(value: Parsed<T>): T {
  if (!value.ok) throw new Error(value.problem);
  return value.value;
}
