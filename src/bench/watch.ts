import { epochMs, type EpochMs } from '../units/index.ts';

/**
 * A look at the bench at one moment that remembers what it would still wait for. Every comparison with time goes
 * through `reached`, so the next moment at which anything can change by itself is known without being computed
 * a second time somewhere else.
 */
export interface Watch {
  readonly now: EpochMs;
  /** Whether the moment has come; if not, it is noted as something to wake for. */
  reached(moment: EpochMs): boolean;
  /** The earliest moment that was asked for and had not come. */
  next(): EpochMs | undefined;
}

export function watchAt(now: EpochMs): Watch {
  let next: EpochMs | undefined;
  return {
    now,
    reached(moment) {
      if (moment <= now) return true;
      if (next === undefined || moment < next) next = moment;
      return false;
    },
    next: () => next,
  };
}

const MINUTE = 60_000;
/** Minutes after which something overdue is expected anew; after the last one, every hour. */
const OVERDUE_MINUTES = [0, 1, 2, 3, 5, 7, 10, 15, 20, 30, 45, 60];

/**
 * When something that was to happen at `expected` is to be expected now. In steps rather than sliding with the clock:
 * so it changes at known moments only, and the state does not depend on how often somebody looked.
 */
export function expectedAnew(expected: EpochMs, watch: Watch): EpochMs {
  for (const late of OVERDUE_MINUTES) {
    const mark = epochMs(expected + late * MINUTE);
    if (!watch.reached(mark)) return mark;
  }
  const hour = 60 * MINUTE;
  const passed = Math.floor((watch.now - expected) / hour);
  const mark = epochMs(expected + (passed + 1) * hour);
  watch.reached(mark);
  return mark;
}
