import {
  drawDiagnostic,
  loadWorkload,
  parsePreferences,
  type Diagnostic,
  type Preference,
  type SourceFile,
  type Workload,
} from '../plan/index.ts';
import {
  holdingTimetable,
  planTimetable,
  promiseOf,
  promiseWords,
  type Holding,
  type PlanRequest,
  type Timetable,
} from '../planner/index.ts';
import {
  epochMs,
  localDate,
  momentOf,
  parseClockTime,
  roughly,
  wallClock,
  type EpochMs,
} from '../units/index.ts';
import { EXIT, Stop } from './exit.ts';
import {
  demoDemonstrations,
  demoKitchens,
  demoPlans,
  findKitchenNear,
  readSource,
  resolvePlan,
} from './files.ts';
import { refused } from './refused.ts';

/** What every command that reads plans takes. */
export interface PlanOptions {
  readonly kitchen?: string;
  readonly yield?: string;
  /** For commands that make a timetable: what it is to be best at. */
  readonly prefer?: string;
  /** For the same: one that holds whatever happens, where there is one. */
  readonly promised?: boolean;
}

export interface Loaded {
  readonly workload?: Workload;
  readonly diagnostics: readonly Diagnostic[];
  /** Every problem as it is shown, in order. */
  readonly drawn: readonly string[];
}

const isSource = (found: SourceFile | Diagnostic): found is SourceFile => 'bytes' in found;
const isDiagnostic = (found: SourceFile | Diagnostic): found is Diagnostic => !isSource(found);

/** Reads plans and their kitchen from disk and checks them together. Every problem of every file is found in one go. */
export function loadPlans(named: readonly string[], options: PlanOptions): Loaded {
  const found = named.map((name) => readSource(resolvePlan(name)));
  const unreadable = found.filter(isDiagnostic);
  const sources = found.filter(isSource);
  const kitchen = options.kitchen === undefined ? undefined : readKitchenFile(options.kitchen);
  if (kitchen && isDiagnostic(kitchen)) unreadable.push(kitchen);
  const files = sources.map((source) => source.file);
  const yields = options.yield === undefined ? undefined : wholeNumber(options.yield, '--yield');
  const loading = {
    ...(kitchen && isSource(kitchen) ? { kitchen } : {}),
    ...(yields === undefined ? {} : { yields }),
    ...preferred(options),
    findKitchen: findKitchenNear(files),
    timeZone: Intl.DateTimeFormat().resolvedOptions().timeZone,
  };
  const loaded: ReturnType<typeof loadWorkload> =
    sources.length === 0 ? { diagnostics: [], texts: new Map() } : loadWorkload(sources, loading);
  const diagnostics = [...unreadable, ...loaded.diagnostics];
  const drawn = diagnostics.map((diagnostic) =>
    drawDiagnostic(diagnostic, loaded.texts.get(diagnostic.place.file) ?? ''),
  );
  const usable = unreadable.length === 0 ? loaded.workload : undefined;
  return { ...(usable ? { workload: usable } : {}), diagnostics, drawn };
}

function readKitchenFile(named: string): SourceFile | Diagnostic {
  const given = readSource(named);
  return isSource(given) ? given : (findKitchenNear([])(named) ?? given);
}

export function wholeNumber(text: string, option: string, most = 1_000_000): number {
  if (!/^\d{1,9}$/.test(text) || Number(text) < 1 || Number(text) > most) {
    throw new Stop(EXIT.usage, `${option} wants a whole number from 1 to ${most}, not "${text}"`);
  }
  return Number(text);
}

/** Plans that have no error; their warnings go to `warn`. */
export function soundPlans(
  named: readonly string[],
  options: PlanOptions,
  warn: (line: string) => void,
): Workload {
  const loaded = loadPlans(named, options);
  if (loaded.workload) {
    for (const line of loaded.drawn) warn(line);
    return loaded.workload;
  }
  const errors = loaded.diagnostics.filter((diagnostic) => diagnostic.severity === 'error').length;
  const unreadable = loaded.diagnostics.filter((diagnostic) => diagnostic.code === 'unreadable-file');
  if (unreadable.length === errors) throw notRead(unreadable, options);
  throw new Stop(
    EXIT.problem,
    `${errors === 1 ? 'there is an error' : `there are ${errors} errors`} in the plan`,
    loaded.drawn,
  );
}

/** Files that could not be read: which and why in the first line, and what could be named instead. */
function notRead(unreadable: readonly Diagnostic[], { kitchen }: PlanOptions): Stop {
  const [first = '', ...rest] = unreadable.map(
    ({ place, message }) => `${place.file}: ${message.replace(/^cannot read this file: /, '')}`,
  );
  const plans = unreadable.some(({ place }) => place.file !== kitchen);
  return new Stop(EXIT.problem, first, [
    ...rest,
    ...(plans
      ? [
          `a plan is a YAML file, or the name of a demo plan: ${[...demoPlans(), ...demoDemonstrations()].join(', ')}`,
        ]
      : []),
    ...(plans ? ['write one of your own: thirdhand new my-plan'] : []),
    ...(kitchen === undefined ? [] : [`a kitchen is a YAML file, or one of: ${demoKitchens().join(', ')}`]),
  ]);
}

/** When to serve, as the command line says it. */
export type Serve =
  | { readonly kind: 'soonest' }
  | { readonly kind: 'at'; readonly moments: readonly EpochMs[] };

/**
 * Reads `--serve`: `soonest`, a time of day, or a date and time, for all plans or with commas one for each in their
 * order. Without it each plan's own time, else as soon as can be.
 */
export function serveTime(workload: Workload, text: string | undefined, now: EpochMs): Serve {
  const zone = workload.kitchen.timeZone;
  if (text === 'soonest') return { kind: 'soonest' };
  const { plans } = workload;
  if (text === undefined) {
    const moments = plans.map((plan) => (plan.serve ? momentOf(plan.serve, now, zone) : undefined));
    const known = moments.filter((moment) => moment !== undefined);
    return known.length === moments.length && known.length > 0
      ? { kind: 'at', moments: known }
      : { kind: 'soonest' };
  }
  const moments = text.split(',').map((part) => {
    const time = parseClockTime(part.trim());
    if (!time.ok) throw new Stop(EXIT.usage, `--serve: ${time.problem}`, [`${time.hint}; or "soonest"`]);
    return momentOf(time.value, now, zone);
  });
  const [first] = moments;
  if (first !== undefined && moments.length === 1) return { kind: 'at', moments: plans.map(() => first) };
  if (moments.length === plans.length) return { kind: 'at', moments };
  throw new Stop(
    EXIT.usage,
    `--serve has ${moments.length} times for ${plans.length === 1 ? 'one plan' : `${plans.length} plans`}`,
    [`one time for all, or one for each in their order: ${plans.map((plan) => plan.name).join(', ')}`],
  );
}

/** Reads `--prefer`: `day`, or with commas the first and the next: `day,fresh`. */
function preferred({ prefer }: PlanOptions): { readonly prefer?: readonly Preference[] } {
  if (prefer === undefined) return {};
  const read = parsePreferences(prefer);
  if (!read.ok)
    throw new Stop(EXIT.usage, `--prefer: ${read.problem}`, [`${read.hint}; or several: day,fresh`]);
  return { prefer: read.value };
}

/**
 * A timetable for the plans, verified; or a stop that says what clashes and what can be had instead. What was given for a promise, or that
 * none can be given, goes to `warn`.
 */
export function makeTimetable(
  workload: Workload,
  serve: Serve,
  now: EpochMs | undefined,
  options: PlanOptions,
  warn: (line: string) => void,
): Timetable {
  const request = planRequest(serve, now, options);
  const result = planTimetable(workload, request);
  if (!('timetable' in result)) throw refused(workload, request, result, now ?? nowMs());
  const { timetable } = result;
  if (!options.promised) return timetable;
  const held = holdingTimetable(workload, request, timetable);
  const words = held
    ? holdingWords(held)
    : `no timetable was found that holds whatever happens; this one ${promiseWords(promiseOf(workload, timetable, now))[0]}`;
  if (words !== undefined) warn(words);
  return held?.timetable ?? timetable;
}

/** What was given so that a timetable holds; nothing where it holds as it is. */
function holdingWords({ lead, turns }: Holding): string | undefined {
  const given = [
    ...(lead > 0 ? [`${roughly(lead)} more from the beginning to service`] : []),
    ...turns.map(({ first, next }) => `${first} before ${next}`),
  ];
  return given.length > 0 ? `so that it holds whatever happens: ${given.join(', and ')}` : undefined;
}

/** A demonstration has no promise: what its rehearsals say stands in its place. */
export function noPromise({ promised }: PlanOptions): void {
  if (promised)
    throw new Stop(EXIT.usage, '--promised is for a plan without a demonstration', [
      'leave it aside: --no-stage; how near a demonstration ends to its time: thirdhand rehearse FILE',
    ]);
}

/** When the first thing of a timetable is to be done. */
export const firstOf = ({ steps, settings }: Timetable): EpochMs =>
  epochMs(Math.min(...steps.map(({ start }) => start), ...settings.map(({ at }) => at)));

/** What to say of a timetable on paper whose first steps should have begun already; nothing where there is still time. */
export function begunBefore(
  what: 'sheet' | 'rehearsal',
  { kitchen: { timeZone } }: Workload,
  timetable: Timetable,
  now: EpochMs,
): string | undefined {
  const first = firstOf(timetable);
  if (first >= now) return undefined;
  const when = `${localDate(first, timeZone)} ${wallClock(first, timeZone)}`;
  return `this ${what} begins at ${when}, which has passed; from now on --serve soonest has one that can be worked`;
}

/** What the planner is asked, as the command line says it. */
export function planRequest(serve: Serve, now: EpochMs | undefined, options: PlanOptions): PlanRequest {
  return { service: serve, ...(now === undefined ? {} : { now }), ...preferred(options) };
}

/** A name for a new run: the plan, the kitchen's date and time, and letters when that is taken. */
export function runName(workload: Workload, now: EpochMs, isTaken: (name: string) => boolean): string {
  const plan =
    (workload.plans[0]?.name ?? 'run')
      .replaceAll(/[^A-Za-z0-9]+/g, '-')
      .replaceAll(/^-+|-+$/g, '')
      .slice(0, 36) || 'run';
  const zone = workload.kitchen.timeZone;
  const stem = `${plan}-${localDate(now, zone).slice(5).replace('-', '')}-${wallClock(now, zone).replace(':', '')}`;
  for (let count = 1; ; count += 1) {
    const name = count === 1 ? stem : `${stem}-${count}`;
    if (!isTaken(name)) return name;
  }
}

export const nowMs = (): EpochMs => epochMs(Date.now());
