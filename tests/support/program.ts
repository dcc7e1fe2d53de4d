import { execFile, spawn, type ChildProcess } from 'node:child_process';
import { fileURLToPath } from 'node:url';

/** The program as it is installed: its entry file, which loads the bundle. */
export const PROGRAM = fileURLToPath(new URL('../../bin/thirdhand.cjs', import.meta.url));

export interface Ran {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** Runs one command of the program to its end, without a terminal and with nothing on its standard input. */
export function thirdhand(
  args: readonly string[],
  options: { readonly cwd?: string; readonly input?: string } = {},
): Promise<Ran> {
  return new Promise((resolve) => {
    const env = { ...process.env, THIRDHAND_NOTIFY: 'off', TZ: 'UTC' };
    const child = execFile(
      process.execPath,
      [PROGRAM, ...args],
      { env, maxBuffer: 64 * 1024 * 1024, ...(options.cwd === undefined ? {} : { cwd: options.cwd }) },
      (error, out, err) =>
        resolve({ code: typeof error?.code === 'number' ? error.code : error ? -1 : 0, out, err }),
    );
    child.stdin?.end(options.input ?? '');
  });
}

/** Starts a command that goes on, without a terminal; its standard input stays open. */
export function startThirdhand(args: readonly string[]): ChildProcess & { readonly lines: () => string } {
  const env = { ...process.env, THIRDHAND_NOTIFY: 'off', TZ: 'UTC' };
  const child = spawn(process.execPath, [PROGRAM, ...args], { env, stdio: ['pipe', 'pipe', 'pipe'] });
  let text = '';
  child.stdout.on('data', (chunk: Buffer) => (text += chunk.toString()));
  child.stderr.on('data', (chunk: Buffer) => (text += chunk.toString()));
  return Object.assign(child, { lines: () => text });
}
