import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { Readable } from 'node:stream';
import { fileURLToPath } from 'node:url';
import type { RunSetup } from '../bench/index.ts';
import { canDraw, runBoard, runPlain, type BoardEnd, type Rehearsing } from '../board/index.ts';
import { feedSpec, openFeeds, type Feeds, type FeedSpec } from '../feed/index.ts';
import {
  createRun,
  defaultStore,
  isOwned,
  listRuns,
  openRun,
  runFolder,
  type ListedRun,
  type OpenedRun,
  type Store,
} from '../journal/index.ts';
import {
  attach,
  benchEngine,
  keeperMain,
  machineClock,
  momentOf,
  spawnKeeper,
  noteFeeds,
  type BoardLink,
  type RunLink,
} from '../keeper/index.ts';
import { localDate, wallClock } from '../units/index.ts';
import { boardView } from '../view/index.ts';
import { EXIT, Stop, type ExitCode } from './exit.ts';
import { taughtWorkload } from './learned.ts';
import {
  makeTimetable,
  noPromise,
  nowMs,
  runName,
  serveTime,
  soundPlans,
  type PlanOptions,
} from './prepare.ts';
import type { Out } from './out.ts';
import { rundownOf, setupOf, type StageOptions } from './stage.ts';

export interface StoreOptions {
  readonly store?: string;
}

interface FeedOptions {
  /** Where readings come from, each as `feedSpec` reads it. */
  readonly feed?: readonly string[];
}

export interface StartOptions extends PlanOptions, StageOptions, StoreOptions, FeedOptions {
  readonly plain?: boolean;
}

export interface ResumeOptions extends StoreOptions, FeedOptions {
  readonly plain?: boolean;
  readonly list?: boolean;
}

export interface KeepOptions {
  readonly run: string;
  readonly store: string;
}

export const storeOf = (options: StoreOptions): Store =>
  options.store === undefined ? defaultStore(process.env) : resolve(options.store);

/** `start`: plans, writes the run down, starts its keeper, and opens a board on it. */
export async function start(files: readonly string[], options: StartOptions, out: Out): Promise<void> {
  const feeds = feedsOf(options);
  const store = storeOf(options);
  const { workload, words } = taughtWorkload(store, soundPlans(files, options, out.warn));
  for (const line of words) out.warn(`thirdhand: ${line}`);
  const now = nowMs();
  const run = runName(workload, now, (name) => existsSync(runFolder(store, name)));
  const rundown = rundownOf(workload, options, now, now);
  if (rundown) noPromise(options);
  const what = rundown
    ? setupOf(rundown)
    : {
        workload,
        timetable: makeTimetable(workload, serveTime(workload, options.serve, now), now, options, out.warn),
        keeps: 'promise' as const,
      };
  const setup: RunSetup = { run, begunAt: now, ...what };
  const created = createRun(store, setup, momentOf(machineClock()));
  if (!created.ok) throw new Stop(EXIT.problem, created.problem.what, [created.problem.hint]);
  noteFeeds(runFolder(store, run), feeds);
  await show(await keptRun(store, run), run, options, feeds, out);
}

/** `resume`: opens a board on a run; starts a keeper for it where none is alive. */
export async function resume(named: string | undefined, options: ResumeOptions, out: Out): Promise<void> {
  const store = storeOf(options);
  if (options.list) {
    const lines = runsOf(store).map(runLine);
    for (const line of lines) out.print(line);
    if (lines.length === 0) out.print(`no run is kept in ${store}; begin one: thirdhand start FILE`);
    return;
  }
  const run =
    named === undefined
      ? runsOf(store).find((each) => each.state === 'open' && !each.isRehearsal)?.run
      : knownRun(store, named);
  if (run === undefined) {
    throw new Stop(EXIT.problem, 'there is no run to carry on with', ['begin one: thirdhand start FILE']);
  }
  const found = openRun(store, run, { purpose: 'read', now: momentOf(machineClock()) });
  if (found.row.go === 'refuse' || found.contents === undefined) throw stopFor(found);
  if (found.contents.setup.rehearsal)
    throw new Stop(EXIT.problem, `${run} is a rehearsal: there is nothing on the bench to carry on with`, [
      `what happened in it: thirdhand record ${run}`,
    ]);
  const isOver = benchEngineState(found).servedAt !== undefined;
  if (isOver)
    throw new Stop(EXIT.problem, `${run} has been served`, [`what happened: thirdhand record ${run}`]);
  const feeds = feedsOf(options);
  if (options.feed) {
    if (feeds.some(({ kind }) => kind !== 'input') && isOwned(runFolder(store, run)))
      throw new Stop(EXIT.problem, `${run} is being kept, and its feeds are open already`, [
        'stop it first (q, then e, on its board), then resume it with its new feeds',
      ]);
    noteFeeds(runFolder(store, run), feeds);
  }
  await show(await keptRun(store, run), run, options, feeds, out);
}

const MOST_FEEDS = 20;

/** The feeds that were asked for. */
function feedsOf({ feed = [] }: FeedOptions): readonly FeedSpec[] {
  if (feed.length > MOST_FEEDS)
    throw new Stop(EXIT.usage, `${feed.length} feeds are more than a bench has`, [
      `give ${MOST_FEEDS} at most`,
    ]);
  return feed.map((text) => {
    const read = feedSpec(text);
    if (!read.ok) throw new Stop(EXIT.usage, read.why, [read.hint]);
    const { spec } = read;
    if (spec.kind === 'input' && process.stdin.isTTY)
      throw new Stop(EXIT.usage, 'standard input is where the keys come from', [
        'send readings to it from another program: probes | thirdhand start ... --feed -',
        'or use a named pipe or port:9311',
      ]);
    return spec.kind === 'pipe' ? { ...spec, path: resolve(spec.path) } : spec;
  });
}

/** The name of a run that is there, as it was given on the command line. */
export function knownRun(store: Store, named: string): string {
  const see = 'which runs there are: thirdhand resume --list (with the --store they are in, if you gave one)';
  if (!/^[A-Za-z0-9-]{1,64}$/.test(named)) throw new Stop(EXIT.usage, `"${named}" is no run's name`, [see]);
  if (!existsSync(runFolder(store, named)))
    throw new Stop(EXIT.problem, `there is no run called ${named} in ${store}`, [see]);
  return named;
}

export function stopFor(found: OpenedRun): Stop {
  return new Stop(EXIT.problem, found.say, [found.row.hint]);
}

/** The state a journal's contents give, without keeping the run. */
export function benchEngineState(found: OpenedRun) {
  if (!found.contents) throw stopFor(found);
  const { setup, events } = found.contents;
  return events.reduce((state, event) => benchEngine.apply(state, event).state, benchEngine.begin(setup));
}

/** The runs of a store, newest first. */
export function runsOf(store: Store): readonly ListedRun[] {
  const listed = listRuns(store);
  if (!listed.ok) throw new Stop(EXIT.problem, listed.problem.what, [listed.problem.hint]);
  return listed.value;
}

function runLine(run: ListedRun): string {
  if (run.state === 'unreadable') return `${run.run}  cannot be read; "thirdhand resume ${run.run}" says why`;
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  const begun = `${localDate(run.begunAt, zone)} ${wallClock(run.begunAt, zone)}`;
  const stands = run.isRehearsal
    ? 'a rehearsal'
    : run.state === 'served'
      ? 'served'
      : run.live
        ? 'running'
        : 'stopped: resume carries on';
  return `${run.run}  ${run.title}, begun ${begun}, ${stands}`;
}

/** Sees to it that a keeper keeps the run, and attaches to it. */
async function keptRun(store: Store, run: string): Promise<BoardLink> {
  // The entry file beside the bundle, as it was started itself: it brings the compile cache with it.
  const entry = fileURLToPath(new URL('../bin/thirdhand.cjs', import.meta.url));
  const revive = () => spawnKeeper({ store, run, command: [process.execPath, entry, 'keeper'] });
  const spawned = await revive();
  if (!spawned.ok)
    throw new Stop(EXIT.problem, `the run could not be kept: ${spawned.why}`, [
      `it is written down: thirdhand resume ${run}`,
    ]);
  const attached = await attach({ store, run, engine: benchEngine, revive });
  if (!attached.ok) throw new Stop(EXIT.problem, attached.why, [`try again: thirdhand resume ${run}`]);
  return attached.link;
}

/** Opens the board, or plain lines where there is no terminal, and says afterwards how it stands. */
async function show(
  link: BoardLink,
  run: string,
  options: { readonly plain?: boolean },
  feeds: readonly FeedSpec[],
  out: Out,
): Promise<void> {
  // Standard input that brings readings brings no words: whoever wants to answer does it on a second screen.
  const fed = feeds.some(({ kind }) => kind === 'input') ? feedFromInput(link) : undefined;
  const plain = fed !== undefined || (options.plain ?? false);
  const end = await Promise.race([
    showRun(link, plain, fed ? { words: Readable.from([]) } : {}),
    interruption(plain),
  ]);
  const stands = standsNow(link);
  fed?.close();
  await link.close();
  process.exitCode = afterwards(end, run, stands, out);
}

/** Readings on this process's standard input, handed on to the keeper. */
function feedFromInput(link: BoardLink): Feeds {
  const { workload } = link.state.setup;
  const { broker: _, ...kitchen } = workload.kitchen;
  return openFeeds({
    specs: [{ kind: 'input' }],
    workload: { ...workload, kitchen },
    env: {},
    input: process.stdin,
    onReading: ({ probe, temperature }) => link.feed({ kind: 'reading', probe, temperature }),
    onReport: (report) => link.feed({ kind: 'feed', ...report }),
  });
}

/** How the run stands, in a line, for somebody who leaves it to itself: what is due, or what comes next. */
function standsNow(link: RunLink): string {
  const { headline, now, next } = boardView(link.state, link.clock(), { axisWidth: 40 });
  const [first] = next;
  const who = now.who === '' ? '' : `${now.who}: `;
  const owed =
    now.kind === 'call' || now.kind === 'alarm'
      ? `${now.kind === 'call' ? 'due now' : 'alarm'}: ${who}${now.what}`
      : first
        ? `next ${first.clock} ${first.who}: ${first.what}`
        : now.what;
  return `${headline.title}: ${headline.service}, ${headline.margin}; ${owed}`;
}

/** Plain lines end on Ctrl-C like any other program that follows something; the run goes on. A board sees to its own end. */
function interruption(plain: boolean): Promise<BoardEnd> {
  const { promise, resolve: end } = Promise.withResolvers<BoardEnd>();
  if (plain || !canDraw(process)) {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const)
      process.once(signal, () => end({ kind: 'left' }));
  }
  return promise;
}

/** A board where both ends are a terminal; plain lines otherwise or where they are asked for. */
export function showRun(
  link: RunLink,
  plain: boolean,
  { words = process.stdin, lines = process.stdout, rehearsing }: ShowOptions = {},
): Promise<BoardEnd> {
  const { stdin, stdout, stderr, env } = process;
  const io = { stderr, env, ...(rehearsing ? { rehearsing } : {}) };
  return plain || lines !== stdout
    ? runPlain(link, { ...io, stdout: lines, stdin: words })
    : runBoard(link, { ...io, stdout, stdin });
}

interface ShowOptions {
  /** Where words come from in plain lines, and where those go. */
  readonly words?: Readable;
  readonly lines?: NodeJS.WriteStream;
  /** Where the run is a rehearsal. */
  readonly rehearsing?: Rehearsing;
}

function afterwards(end: BoardEnd, run: string, stands: string, out: Out): ExitCode {
  switch (end.kind) {
    case 'served':
      out.print(`what happened: thirdhand record ${run}`);
      return EXIT.done;
    case 'left':
      out.print(stands);
      out.print(`the run goes on without a board; come back with: thirdhand resume ${run}`);
      return EXIT.done;
    case 'stopped':
      out.print(`the run has stopped and is kept; carry on with: thirdhand resume ${run}`);
      return EXIT.done;
    case 'failed':
      out.warn(`thirdhand: ${end.detail}`);
      out.warn(`the run is written down as far as it came; carry on with: thirdhand resume ${run}`);
      return EXIT.problem;
  }
}

/** The hidden command that is the keeper's process. */
export async function keep(options: KeepOptions): Promise<void> {
  process.exitCode = await keeperMain(options);
}
