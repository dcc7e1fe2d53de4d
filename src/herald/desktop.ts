import { createRequire } from 'node:module';
import type { NodeNotifier } from 'node-notifier';
import type { Notify } from './herald.ts';

/** Seconds after which a notifier that is told how long to wait gives up by itself. */
const WAIT_S = 4;

/**
 * The desktop's notifications, or none where they are switched off (`THIRDHAND_NOTIFY=off`). Whether there is anybody
 * to show them is only known by trying.
 *
 * The library is loaded when the first notice goes out, from where it is installed: it finds its helper programs beside
 * its own files and so cannot be part of a bundle, and only a keeper ever needs it.
 */
export function desktopNotify(env: Readonly<Record<string, string | undefined>>): Notify | undefined {
  if (env['THIRDHAND_NOTIFY'] === 'off') return undefined;
  const load = createRequire(import.meta.url);
  return (notice, done) => {
    const notifier = load('node-notifier') as NodeNotifier;
    // Where all went well, what comes back is null, or the helper program's standard error, which is mostly empty.
    notifier.notify({ ...notice, wait: false, timeout: WAIT_S, sound: false }, (error: unknown) =>
      done(error instanceof Error ? error : null),
    );
  };
}
