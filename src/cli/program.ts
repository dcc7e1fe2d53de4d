import { Command } from 'commander';
import { check, chart, newPlan, sheet, type CheckOptions, type SheetOptions } from './paper.ts';
import { seen, type Out } from './out.ts';
import { completion } from './completion.ts';
import { record, type RecordOptions } from './record.ts';
import { rehearse, type RehearseOptions } from './rehearse.ts';
import { keep, resume, start, type KeepOptions, type ResumeOptions, type StartOptions } from './run.ts';
import version from './version.ts';

const KITCHEN = ['--kitchen <file>', 'the kitchen to work in, instead of the one the plan names'] as const;
const YIELD = ['--yield <number>', 'make so many pieces instead of what the plan says'] as const;
const SERVE = [
  '--serve <time>',
  'when to serve, or to go on air: 19:30, "2027-03-28 07:30", or soonest; with several plans 15:30,19:00 in their order',
] as const;
const PREFER = [
  '--prefer <what>',
  'what the timetable is to be best at, in this order: fresh, day, oven; for example day,fresh',
] as const;
const PROMISED = [
  '--promised',
  'a timetable that holds whatever happens within the ranges, where there is one: with more time, or in another order',
] as const;
const NO_STAGE = ['--no-stage', 'take a plan with a demonstration as one without'] as const;
const HELPER = ['--helper', 'of a demonstration: with a helper, whatever the plan says'] as const;
const NO_HELPER = ['--no-helper', 'of a demonstration: without a helper'] as const;
const STORE = ['--store <dir>', 'where runs are kept, instead of your state folder'] as const;
const FEED = [
  '--feed <where>',
  'where readings of probes come from: - (standard input), the path of a named pipe, port:9311; may be given again',
  (one: string, others: readonly string[] = []) => [...others, one],
] as const;
const PLAIN = ['--plain', 'plain lines instead of the board: for pipes and screen readers'] as const;
const JSON_OPTION = ['--json', 'for programs: JSON instead of words'] as const;

/** Every command, its words and its options. */
export function program(out: Out): Command {
  const root = new Command('thirdhand')
    .description('A third hand at the bench: plans pastry backwards from service and runs it with you.')
    .version(version)
    .exitOverride()
    // An error's first line begins like every other of the program's own.
    .configureOutput({ outputError: (text, write) => write(seen(text.replace(/^error: /, 'thirdhand: '))) })
    .showSuggestionAfterError()
    .showHelpAfterError('(thirdhand --help lists every command, thirdhand help COMMAND its options)')
    .helpCommand('help [command]', 'what there is, or the options of a command')
    .addHelpText(
      'after',
      '\nExit codes: 0 done, 1 the plan or the run has a problem, 2 wrong usage, 130 stopped by Ctrl-C.',
    );
  addPaper(root, out);
  addRuns(root, out);
  addRehearsal(root, out);
  return root;
}

/** What needs no run: plans read, checked, printed, begun. */
function addPaper(root: Command, out: Out): void {
  root
    .command('check')
    .description('every problem found in the plans, with line and column')
    .argument('<file...>', 'plan files, or the names of demo plans')
    .option(...KITCHEN)
    .option(...YIELD)
    .option(...JSON_OPTION)
    .action((files: string[], options: CheckOptions) => check(files, options, out));
  root
    .command('sheet')
    .description('the timetable as a person reads it')
    .argument('<file...>')
    .option(...SERVE)
    .option(...PREFER)
    .option(...PROMISED)
    .option(...YIELD)
    .option(...KITCHEN)
    .option('--as <form>', 'text, markdown, json, svg (a picture) or ics (a calendar)', 'text')
    .option(
      '--limits',
      'what fixes when work begins, and what would let it begin later, instead of the sheet',
    )
    .option('--only <paper>', 'of a demonstration: rundown, labels or prep, instead of all')
    .option(...HELPER)
    .option(...NO_HELPER)
    .option(...NO_STAGE)
    .option(...JSON_OPTION)
    .action((files: string[], options: SheetOptions) => sheet(files, options, out));
  root
    .command('chart')
    .description('the state diagrams of the plans, for Mermaid')
    .argument('<file...>')
    .option(...KITCHEN)
    .action((files: string[], options: CheckOptions) => chart(files, options, out));
  root
    .command('new')
    .description('write a small commented plan to begin from')
    .argument('<name>')
    .action((name: string) => newPlan(name, out));
  root
    .command('completion')
    .description('completions for a shell: bash, zsh or fish')
    .argument('<shell>')
    .action((shell: string) => completion(shell, root, out));
}

/** Live runs, and what is left of them. */
function addRuns(root: Command, out: Out): void {
  root
    .command('start')
    .description('the live run, on the board')
    .argument('<file...>')
    .option(...SERVE)
    .option(...PREFER)
    .option(...PROMISED)
    .option(...YIELD)
    .option(...KITCHEN)
    .option(...HELPER)
    .option(...NO_HELPER)
    .option(...NO_STAGE)
    .option(...FEED)
    .option(...PLAIN)
    .option(...STORE)
    .action((files: string[], options: StartOptions) => start(files, options, out));
  root
    .command('resume')
    .description('carry on where a closed or crashed run stood; a second screen')
    .argument('[run]', 'the run, or the newest that is not over')
    .option('--list', 'list the runs that are kept')
    .option(...FEED)
    .option(...PLAIN)
    .option(...STORE)
    .action((run: string | undefined, options: ResumeOptions) => resume(run, options, out));
  root
    .command('record')
    .description('what happened in a run, and how long things truly took')
    .argument('[run]', 'the run, or the newest')
    .option(...STORE)
    .option(...JSON_OPTION)
    .action((run: string | undefined, options: RecordOptions) => record(run, options, out));
  root
    .command('keeper', { hidden: true })
    .requiredOption('--run <run>')
    .requiredOption('--store <dir>')
    .action((options: KeepOptions) => keep(options));
}

function addRehearsal(root: Command, out: Out): void {
  root
    .command('rehearse')
    .description(
      'against a simulated kitchen: how likely is service on time, what breaks first, what helps; or --watch one',
    )
    .argument('<file...>')
    .option(...SERVE)
    .option(...PREFER)
    .option(...PROMISED)
    .option(...YIELD)
    .option(...KITCHEN)
    .option('--runs <number>', 'how many rehearsals; 1000 if not said')
    .option('--seed <number>', 'which ones: the same seed gives the same rehearsals', '1')
    .option('--picture <file.svg>', 'write a picture of when each step happens, from many rehearsals')
    .option('--watch', 'one rehearsal, on the board')
    .option(
      '--hands <whose>',
      'with --watch: simulated (the usual), or mine: you do what is called, and nothing is cooked',
    )
    .option(
      '--speed <factor>',
      'how much faster than life, with --watch: 60 if not said, with your own hands 1',
    )
    .option(...HELPER)
    .option(...NO_HELPER)
    .option(...NO_STAGE)
    .option('--plain', 'plain lines instead of the board or of progress: for pipes and screen readers')
    .option('--store <dir>', 'with --watch: keep the run there, as a live one is kept; else nothing is kept')
    .option(...JSON_OPTION)
    .action((files: string[], options: RehearseOptions) => rehearse(files, options, out));
}
