import { writeFileSync } from 'node:fs';
import { mermaid } from '../bench/index.ts';
import { newPlanText, type Diagnostic } from '../plan/index.ts';
import { runSheetJson, runSheetMarkdown, runSheetText } from '../sheet/index.ts';
import { EXIT, Stop } from './exit.ts';
import { reasonOf } from './files.ts';
import { loadPlans, makeTimetable, nowMs, serveTime, soundPlans, type PlanOptions } from './prepare.ts';
import type { Out } from './out.ts';

export interface CheckOptions extends PlanOptions {
  readonly json?: boolean;
}

export interface SheetOptions extends PlanOptions {
  readonly serve?: string;
  readonly as: string;
  readonly json?: boolean;
}

/** `check`: every problem, and exit 1 if any is an error. */
export function check(files: readonly string[], options: CheckOptions, out: Out): void {
  // Each plan for itself: whether they can be laid together is a question of `sheet` and `start`.
  const loaded = files.map((file) => loadPlans([file], options));
  const diagnostics = loaded.flatMap((each) => each.diagnostics);
  const drawn = loaded.flatMap((each) => each.drawn);
  const errors = diagnostics.filter((diagnostic) => diagnostic.severity === 'error').length;
  if (options.json) {
    out.json({ errors, problems: diagnostics.map(plainDiagnostic) });
  } else {
    for (const text of drawn) out.print(text);
    const warnings = diagnostics.length - errors;
    const counted = (count: number, what: string): string => `${count} ${what}${count === 1 ? '' : 's'}`;
    out.print(
      diagnostics.length === 0
        ? `${counted(files.length, 'plan')} checked, nothing wrong`
        : `${counted(files.length, 'plan')} checked: ${counted(errors, 'error')}, ${counted(warnings, 'warning')}`,
    );
  }
  if (errors > 0) process.exitCode = EXIT.problem;
}

function plainDiagnostic({ code, severity, place, message, hint }: Diagnostic) {
  return { code, severity, ...place, message, hint };
}

/** `sheet`: the timetable on paper. */
export function sheet(files: readonly string[], options: SheetOptions, out: Out): void {
  const form = options.json ? 'json' : options.as;
  if (!['text', 'markdown', 'json'].includes(form)) {
    throw new Stop(EXIT.usage, `a sheet cannot be had as "${form}"`, [
      'it can be had as text, markdown or json',
    ]);
  }
  const workload = soundPlans(files, options, out.warn);
  const now = nowMs();
  const serve = serveTime(workload, options.serve, now);
  // A sheet may be printed for a day whose first steps should have begun already; only "soonest" looks at the clock.
  const timetable = makeTimetable(workload, serve, serve.kind === 'soonest' ? now : undefined);
  if (form === 'json') out.json(runSheetJson(workload, timetable));
  else out.print((form === 'markdown' ? runSheetMarkdown : runSheetText)(workload, timetable));
}

/** `chart`: the statecharts that run the plans. */
export function chart(files: readonly string[], options: CheckOptions, out: Out): void {
  out.print(mermaid(soundPlans(files, options, out.warn)).trimEnd());
}

/** `new`: a small commented plan in the current folder. Never writes over a file. */
export function newPlan(name: string, out: Out): void {
  const plain = name.replace(/\.ya?ml$/, '');
  if (!/^[\p{L}\p{N}][\p{L}\p{N} _-]{0,63}$/u.test(plain)) {
    throw new Stop(EXIT.usage, `"${name}" is no name for a plan`, [
      'letters, figures, spaces and hyphens: sunday-tarts',
    ]);
  }
  const file = `${plain}.yaml`;
  try {
    writeFileSync(file, newPlanText(plain), { flag: 'wx' });
  } catch (error) {
    const exists = error instanceof Error && 'code' in error && error.code === 'EEXIST';
    throw new Stop(
      EXIT.problem,
      exists
        ? `${file} is there already and was left alone`
        : `${file} cannot be written: ${reasonOf(error)}`,
    );
  }
  out.print(`wrote ${file}\nnext: change it, then "thirdhand check ${file}" and "thirdhand sheet ${file}"`);
}
