import { desktopNotify, runSound, soundCommand } from '../herald/index.ts';
import { visible } from '../plan/index.ts';
import { benchEngine } from './bench-engine.ts';
import { machineClock } from './clock.ts';
import { threadForecaster } from './forecaster.ts';
import { keepRun } from './keep.ts';
import { threadReplanner } from './thread-replanner.ts';

/**
 * What the hidden command `keeper --store DIR --run RUN` does: keeps the run in this process until it ends.
 * Answers the exit code: 0 where it was served or stopped, 1 where it could not go on. A hangup does not end it, since
 * the terminal it came from may close; TERM and INT end it in order.
 */
export async function keeperMain(options: { readonly store: string; readonly run: string }): Promise<number> {
  const sound = soundCommand(process.env['THIRDHAND_SOUND']);
  if (sound.kind === 'wrong') logLine(`the bell alone: ${sound.why}`);
  const end = await keepRun({
    ...options,
    engine: benchEngine,
    clock: machineClock(),
    notify: desktopNotify(process.env),
    sound: sound.kind === 'command' ? runSound(sound.command) : undefined,
    env: process.env,
    log: logLine,
    onStart: stopOnSignal,
    replanner: (workload) => threadReplanner({ workload, complain: logLine }),
    forecaster: threadForecaster(logLine),
  });
  logLine(`ended: ${end.reason}${end.detail === undefined ? '' : `: ${end.detail}`}`);
  return end.reason === 'failed' ? 1 : 0;
}

/** Leaves hangups be, and ends the keeper in order when the system asks. */
export function stopOnSignal(stop: () => void): void {
  process.on('SIGHUP', () => undefined);
  process.once('SIGTERM', stop);
  process.once('SIGINT', stop);
}

/** What a keeper may write into its log in its life, in bytes; a fault that repeats must not fill the disk. */
const LOG_BYTES = 512 * 1024;
let logged = 0;

export function logLine(line: string): void {
  if (logged > LOG_BYTES) return;
  const text = `${new Date().toISOString()} ${line.split('\n').map(visible).join('\n  ')}\n`;
  logged += text.length;
  process.stderr.write(logged > LOG_BYTES ? '(the log is full)\n' : text);
}
