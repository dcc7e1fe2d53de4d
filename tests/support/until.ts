import { setTimeout as pause } from 'node:timers/promises';

/** Waits until a condition holds, and gives what it gave; fails with its name once the deadline has passed. */
export async function until<T>(
  what: string,
  condition: () => T | undefined | false | Promise<T | undefined | false>,
  deadlineMs = 10_000,
): Promise<T> {
  const end = performance.now() + deadlineMs;
  for (;;) {
    const value = await condition();
    if (value !== undefined && value !== false) return value;
    if (performance.now() > end) throw new Error(`not within ${deadlineMs} ms: ${what}`);
    await pause(10);
  }
}
