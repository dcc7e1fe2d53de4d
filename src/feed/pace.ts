/** How long whoever brought so many bytes is to wait before bringing more, ms; 0 for nearly always. */
export type Pace = (bytes: number, now: number) => number;

/** Six times what 10,000 readings a second take. */
const BYTES_A_SECOND = 1_000_000;
/** A wait that is shorter is none. */
const SHORT_MS = 50;

/**
 * One allowance for all that comes in, however many bring it: what is beyond it waits in its sender's own machine, so that
 * neither memory nor the keeper's other work pay for it. What comes in small pieces now and then is never in anybody's way.
 */
export function pace(bytesASecond: number = BYTES_A_SECOND): Pace {
  let free = -Infinity;
  return (bytes, now) => {
    free = Math.max(free, now) + (1000 * bytes) / bytesASecond;
    const wait = free - now;
    return wait < SHORT_MS ? 0 : wait;
  };
}
