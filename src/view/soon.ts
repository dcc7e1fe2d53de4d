import { secondsBetween, type EpochMs } from '../units/index.ts';

/** What is wanted within so long, in seconds, is counted to the second and never hidden on a screen that has room for a board. */
export const SOON_S = 600;

export const isSoon = (moment: EpochMs, now: EpochMs): boolean => secondsBetween(now, moment) <= SOON_S;
