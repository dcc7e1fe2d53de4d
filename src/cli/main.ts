import { program } from './program.ts';
import { EXIT, Stop } from './exit.ts';
import { startHere } from './start-here.ts';
import { CommanderError } from 'commander';

/** Runs one command and ends with its exit code. Errors for people go to stderr, one line first, then the detail. */
async function main(): Promise<void> {
  const out = {
    print: (text: string) => process.stdout.write(`${text}\n`),
    warn: (text: string) => process.stderr.write(`${text}\n`),
  };
  try {
    if (process.argv.length <= 2) out.print(startHere());
    else await program(out).parseAsync();
  } catch (error) {
    process.exitCode = report(error);
  }
}

function report(error: unknown): number {
  if (error instanceof Stop) {
    process.stderr.write(`thirdhand: ${error.message}\n`);
    for (const line of error.detail) process.stderr.write(`${line}\n`);
    return error.code;
  }
  // Commander has already said what was wrong with the words, or has shown what was asked for.
  if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.done : EXIT.usage;
  const detail = error instanceof Error ? error.message : String(error);
  process.stderr.write(`thirdhand: something went wrong inside the program: ${detail}\n`);
  process.stderr.write(
    'A run is not lost by this: "thirdhand resume" carries on. Set THIRDHAND_DEBUG=1 to see where it broke.\n',
  );
  if (process.env['THIRDHAND_DEBUG'] === '1' && error instanceof Error)
    process.stderr.write(`${error.stack}\n`);
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
