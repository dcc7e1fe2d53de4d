import { program } from './program.ts';
import { EXIT, Stop } from './exit.ts';
import { startHere } from './start-here.ts';
import { CommanderError } from 'commander';
import { outTo } from './out.ts';

const out = outTo(
  (text) => process.stdout.write(text),
  (text) => process.stderr.write(text),
);

/** Runs one command and ends with its exit code. Errors for people go to stderr, one line first, then the detail. */
async function main(): Promise<void> {
  try {
    if (process.argv.length <= 2) out.print(startHere());
    else await program(out).parseAsync();
  } catch (error) {
    process.exitCode = report(error);
  }
}

function report(error: unknown): number {
  if (error instanceof Stop) {
    out.warn(`thirdhand: ${error.message}`);
    for (const line of error.detail) out.warn(line);
    return error.code;
  }
  // Commander has already said what was wrong with the words, or has shown what was asked for.
  if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.done : EXIT.usage;
  const detail = error instanceof Error ? error.message : String(error);
  out.warn(`thirdhand: something went wrong inside the program: ${detail}`);
  out.warn(
    'A run is not lost by this: "thirdhand resume" carries on. Set THIRDHAND_DEBUG=1 to see where it broke.',
  );
  if (process.env['THIRDHAND_DEBUG'] === '1' && error instanceof Error) out.warn(error.stack ?? '');
  return EXIT.problem;
}

// A reader that closes the pipe early (head, less) or a terminal whose window is closed wants no more lines; that is no error.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE' && error.code !== 'EIO') throw error;
  process.exit(EXIT.done);
});

await main();
// A command that is done ends, whatever still listens to a pipe that somebody else holds open.
process.stdout.write('', () => process.exit());
