import { writeFileSync } from 'node:fs';
import { mermaid } from '../bench/index.ts';
import { newPlanText, type Diagnostic, type Workload } from '../plan/index.ts';
import { promiseOf, type Timetable } from '../planner/index.ts';
import {
  runSheetCalendar,
  runSheetJson,
  runSheetMarkdown,
  runSheetSvg,
  runSheetText,
} from '../sheet/index.ts';
import type { EpochMs } from '../units/index.ts';
import { EXIT, Stop } from './exit.ts';
import { reasonOf } from './files.ts';
import { showLimits } from './limited.ts';
import {
  begunBefore,
  loadPlans,
  makeTimetable,
  noPromise,
  nowMs,
  planRequest,
  serveTime,
  soundPlans,
  type PlanOptions,
} from './prepare.ts';
import { orRefused } from './refused.ts';
import { papersOf, writePapers } from './stage-sheet.ts';
import { demonstrationOf, rundownOf, type StageOptions } from './stage.ts';
import type { Out } from './out.ts';

export interface CheckOptions extends PlanOptions {
  readonly json?: boolean;
}

export interface SheetOptions extends PlanOptions, StageOptions {
  /** Of a demonstration: which paper. */
  readonly only?: string;
  readonly as: string;
  readonly limits?: boolean;
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
  const write = Object.hasOwn(SHEET_FORMS, form) ? SHEET_FORMS[form] : undefined;
  if (!write) {
    throw new Stop(EXIT.usage, `a sheet cannot be had as "${form}"`, [
      `it can be had as ${Object.keys(SHEET_FORMS).join(', ')}`,
    ]);
  }
  const workload = soundPlans(files, options, out.warn);
  const now = nowMs();
  if (demonstrationOf(workload, options)) return stageSheet(workload, form, options, out, now);
  if (options.only !== undefined)
    throw new Stop(EXIT.usage, '--only is for a plan with a demonstration, which this is not taken as');
  const serve = serveTime(workload, options.serve, now);
  // A sheet may be printed for a day whose first steps should have begun already; only "soonest" looks at the clock.
  const notBefore = serve.kind === 'soonest' ? now : undefined;
  const timetable = orRefused(form === 'json', out, () =>
    makeTimetable(workload, serve, notBefore, options, out.warn),
  );
  const late = begunBefore('sheet', workload, timetable, now);
  if (late !== undefined) out.warn(late);
  if (options.limits)
    showLimits(workload, planRequest(serve, notBefore, options), timetable, form === 'json', out);
  else write(workload, timetable, out, now);
}

/** `sheet` of a plan with a demonstration: its papers. */
function stageSheet(workload: Workload, form: string, options: SheetOptions, out: Out, now: EpochMs): void {
  noPromise(options);
  const papers = papersOf(options.only);
  if (options.limits)
    throw new Stop(EXIT.usage, '--limits is for a plan without a demonstration', [
      'leave it aside: --no-stage',
    ]);
  const rundown = orRefused(form === 'json', out, () => rundownOf(workload, options, now));
  if (!rundown) return;
  const late = begunBefore('sheet', rundown.workload, rundown.timetable, now);
  if (late !== undefined) out.warn(late);
  writePapers(rundown, form, papers, out, now);
}

type WriteSheet = (workload: Workload, timetable: Timetable, out: Out, now: EpochMs) => void;

/** How a sheet is written in each form it can be had in. */
const SHEET_FORMS: Readonly<Record<string, WriteSheet>> = {
  text: (workload, timetable, out, now) =>
    out.print(
      runSheetText(workload, timetable, {
        columns: process.stdout.columns ?? 80,
        promise: promiseOf(workload, timetable, now),
      }).trimEnd(),
    ),
  markdown: (workload, timetable, out, now) =>
    out.print(runSheetMarkdown(workload, timetable, promiseOf(workload, timetable, now)).trimEnd()),
  json: (workload, timetable, out, now) =>
    out.json(runSheetJson(workload, timetable, promiseOf(workload, timetable, now))),
  svg: (workload, timetable, out) => out.document(runSheetSvg(workload, timetable)),
  ics: (workload, timetable, out, now) => out.document(runSheetCalendar(workload, timetable, { stamp: now })),
};

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
