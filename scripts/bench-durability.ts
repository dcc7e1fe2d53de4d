/**
 * Kills a keeper at random moments while a board presses as fast as it can, and counts what is missing afterwards.
 *
 *     npm run bench:durability [-- --rounds 100 --seed 1]
 *
 * Each round: a real keeper process (the real bench, a real plan, a journal on this disk) is killed with SIGKILL some
 * 20 to 400 ms after it began to answer, another is started, and the board attaches again by itself. Then, from the
 * journal alone: is every acknowledged press in it, is none in it twice, and is no call raised twice.
 */
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { answer, type Effect, type Happening, type RunSetup } from '../src/bench/index.ts';
import { createRun, openRun, type Store } from '../src/journal/index.ts';
import { attach, type BoardLink } from '../src/keeper/client.ts';
import { benchEngine, keeperMain, machineClock, momentOf, spawnKeeper } from '../src/keeper/index.ts';
import { loadWorkload } from '../src/plan/index.ts';
import { planTimetable } from '../src/planner/index.ts';
import { celsius, epochMs, minutes, seconds, temperatureOf } from '../src/units/index.ts';

const SCRIPT = fileURLToPath(import.meta.url);
/** The shipped program, where it has been built; its keeper starts much faster than the same from its sources. */
const BUILT = fileURLToPath(new URL('../dist/thirdhand.js', import.meta.url));
const KEEPER = existsSync(BUILT) ? [BUILT, 'keeper'] : [SCRIPT, '--keep'];

const PLAN = `thirdhand: 1
title: Attic tea
makes: 12 tartlets
kitchen:
  title: Attic
  ovens: { oven: { shelves: 2, heats: 12 C/min, cools: 4 C/min } }
components:
  curd:
    steps:
      - cook: { takes: 6-9 min, hands: busy, until: { probe: curd, reaches: 82 C } }
      - chill: { rest: 20 min - 3 h }
  shells:
    steps:
      - line: { each: 20 s, hands: busy }
      - bake: { takes: 15 min, oven: { at: 180 C, door: shut } }
  finish:
    steps:
      - fill: { each: 15 s, hands: busy, needs: [curd, shells] }
`;

/** A run's journal holds no more than about so many events here: a run of days at a bench. */
const EVENTS_A_RUN = 600;
/** Presses that may wait for their answer at once. */
const IN_FLIGHT = 8;

export interface Durability {
  readonly rounds: number;
  readonly acknowledged: number;
  /** Acknowledged and not in the journal. */
  readonly lost: number;
  /** In the journal more than once. */
  readonly doubled: number;
  /** Refused and in the journal all the same. */
  readonly refusedButKept: number;
  readonly callsRaised: number;
  readonly callsDoubled: number;
  /** Rings that the journal has and the board did not get, or the other way round. */
  readonly callsMissedByBoard: number;
  /** From starting the next keeper until it answers, one for each round, in ms. */
  readonly reopen: readonly number[];
}

interface Options {
  readonly rounds: number;
  readonly seed: number;
  readonly store: Store;
}

/** One run under fire: what was pressed, and what became of it. */
interface Run {
  readonly link: BoardLink;
  readonly name: string;
  readonly acknowledged: Set<string>;
  readonly refused: Set<string>;
  readonly rung: string[];
  /** How often the board has found a keeper. */
  attached: number;
}

/** Does the rounds. */
export async function measureDurability({ rounds, seed, store }: Options): Promise<Durability> {
  const random = randomNumbers(seed);
  const totals = { acknowledged: 0, lost: 0, doubled: 0, refusedButKept: 0 };
  const calls = { callsRaised: 0, callsDoubled: 0, callsMissedByBoard: 0 };
  const reopen: number[] = [];
  let left = rounds;
  for (let number = 1; left > 0; number++) {
    const run = await beginRun(store, `attic-${seed}-${number}`);
    const presser = press(run, random);
    while (left > 0 && run.acknowledged.size < EVENTS_A_RUN) {
      reopen.push(await killAndReopen(store, run, 20 + random() * 380));
      left -= 1;
    }
    presser.stop();
    await presser.settled;
    await run.link.stopRun();
    const found = judge(store, run);
    for (const key of Object.keys(totals) as (keyof typeof totals)[]) totals[key] += found[key];
    for (const key of Object.keys(calls) as (keyof typeof calls)[]) calls[key] += found[key];
  }
  return { rounds, ...totals, ...calls, reopen };
}

async function beginRun(store: Store, name: string): Promise<Run> {
  const created = createRun(store, setupFor(name), momentOf(machineClock()));
  if (!created.ok) throw new Error(created.problem.what);
  await startKeeper(store, name);
  const attached = await attach({ store, run: name, engine: benchEngine });
  if (!attached.ok) throw new Error(attached.why);
  const run: Run = {
    link: attached.link,
    name,
    acknowledged: new Set(),
    refused: new Set(),
    // What the first keeper did before the board was there: the board saw that as the state it began with.
    rung: ringsOf(setupFor(name), attached.link.state.history),
    attached: 1,
  };
  run.link.subscribe((change) => {
    if (change.kind === 'event') run.rung.push(...rings(change.effects));
    if (change.kind === 'back') run.attached += 1;
  });
  return run;
}

/** The setup of each run is made once: a timetable is a moment's work, but a run must be the same for all who ask. */
const setups = new Map<string, RunSetup>();

function setupFor(run: string): RunSetup {
  const known = setups.get(run);
  if (known !== undefined) return known;
  const { workload, diagnostics } = loadWorkload([{ file: 'attic-tea.yaml', bytes: Buffer.from(PLAN) }], {
    findKitchen: () => undefined,
    timeZone: 'UTC',
  });
  if (workload === undefined) throw new Error(JSON.stringify(diagnostics));
  const begunAt = epochMs(Date.now());
  const planned = planTimetable(workload, { service: { kind: 'soonest' }, now: begunAt });
  if (!('timetable' in planned)) throw new Error(`no timetable: ${planned.status}`);
  const setup: RunSetup = { run, workload, timetable: planned.timetable, begunAt };
  setups.set(run, setup);
  return setup;
}

async function startKeeper(store: Store, run: string): Promise<number> {
  const env = { ...process.env, THIRDHAND_NOTIFY: 'off' };
  const spawned = await spawnKeeper({ store, run, command: [process.execPath, ...KEEPER], env });
  if (!spawned.ok) throw new Error(spawned.why);
  return spawned.pid;
}

async function killAndReopen(store: Store, run: Run, afterMs: number): Promise<number> {
  const pid = await startKeeper(store, run.name);
  await pause(afterMs);
  const { attached } = run;
  process.kill(pid, 'SIGKILL');
  const from = performance.now();
  // Until the system has taken the killed one away, it may still seem to answer.
  while ((await startKeeper(store, run.name)) === pid) await pause(1);
  const took = performance.now() - from;
  while (run.attached === attached) await pause(5);
  return took;
}

/** Presses without a pause, so many at once, whatever may be pressed next. */
function press(run: Run, random: () => number): { stop(): void; readonly settled: Promise<unknown> } {
  let going = true;
  let count = 0;
  const timers: string[] = [];
  const one = async (): Promise<void> => {
    while (going) {
      count += 1;
      const id = `press-${count}`;
      const happening = choose(run.link, random, timers, count);
      const pressed = await run.link.press(happening, id);
      (pressed.ok ? run.acknowledged : run.refused).add(id);
      // A refused press costs nothing; a breath keeps a row of them from holding up this process.
      if (!pressed.ok) await pause(1);
    }
  };
  return {
    stop: () => (going = false),
    settled: Promise.all(Array.from({ length: IN_FLIGHT }, one)),
  };
}

function choose(link: BoardLink, random: () => number, timers: string[], count: number): Happening {
  const dice = random();
  const [call] = link.state.calls;
  if (dice < 0.3 || (timers.length === 0 && dice < 0.6)) {
    timers.push(`tea ${count}`);
    return { kind: 'timer', name: `tea ${count}`, length: seconds(0.02 + random() * 0.3) };
  }
  if (dice < 0.6) return { kind: 'timer done', name: timers.shift() ?? '' };
  if (dice < 0.8) {
    const figure = Math.round(200 + random() * 600) / 10;
    return { kind: 'reading', probe: 'curd', temperature: temperatureOf(celsius(figure), 'C') };
  }
  if (dice < 0.9 && call !== undefined && call.asks.kind !== 'served') return answer(call, link.clock());
  const step = link.state.setup.workload.components.flatMap((component) => component.steps)[count % 5];
  if (dice < 0.94 && step !== undefined) return { kind: 'more', step: step.id, length: minutes(1) };
  if (dice < 0.945) return { kind: 'undo' };
  return { kind: 'door', oven: 'oven', door: count % 2 === 0 ? 'open' : 'shut' };
}

type Judgement = Omit<Durability, 'rounds' | 'reopen'>;

/** What the journal says of a run that is over. */
function judge(store: Store, run: Run): Judgement {
  const { contents, say } = openRun(store, run.name, { purpose: 'read', now: momentOf(machineClock()) });
  if (contents === undefined) throw new Error(say);
  const times = new Map<string, number>();
  for (const { id } of contents.events) times.set(id, (times.get(id) ?? 0) + 1);
  const rung = ringsOf(contents.setup, contents.events);
  const [inJournal, onBoard] = [new Set(rung), new Set(run.rung)];
  return {
    acknowledged: run.acknowledged.size,
    lost: [...run.acknowledged].filter((id) => !times.has(id)).length,
    doubled: [...times.values()].filter((count) => count > 1).length,
    refusedButKept: [...run.refused].filter((id) => times.has(id)).length,
    callsRaised: rung.length,
    callsDoubled: rung.length - inJournal.size + (run.rung.length - onBoard.size),
    callsMissedByBoard:
      rung.filter((ring) => !onBoard.has(ring)).length +
      run.rung.filter((ring) => !inJournal.has(ring)).length,
  };
}

const rings = (effects: readonly Effect[]): string[] =>
  effects.flatMap((effect) => (effect.kind === 'ring' ? [`${effect.key} #${effect.nth}`] : []));

/** Every ring that replaying the events lets out, by its key and how often it has been raised. */
function ringsOf(setup: RunSetup, events: BoardLink['state']['history']): string[] {
  const rung: string[] = [];
  let state = benchEngine.begin(setup);
  for (const event of events) {
    const outcome = benchEngine.apply(state, event);
    state = outcome.state;
    if (outcome.ok) rung.push(...rings(outcome.effects));
  }
  return rung;
}

/** Numbers from 0 to 1 that a seed decides (mulberry32, Tommy Ettinger 2017, public domain). */
function randomNumbers(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d_2b_79_f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

const share = (sorted: readonly number[], part: number): string =>
  (sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * part))] ?? 0).toFixed(0);

async function main(rounds: number, seed: number): Promise<void> {
  const store = mkdtempSync(join(tmpdir(), 'thirdhand-durability-'));
  const found = await measureDurability({ rounds, seed, store });
  rmSync(store, { recursive: true, force: true });
  const sorted = found.reopen.toSorted((a, b) => a - b);
  console.log(
    `keeper killed at random moments: ${found.rounds} rounds, seed ${seed}, keeper from ${existsSync(BUILT) ? 'dist' : 'its sources'}`,
  );
  console.log(`events acknowledged   ${found.acknowledged}`);
  console.log(`  lost                ${found.lost}`);
  console.log(`  doubled             ${found.doubled}`);
  console.log(`  refused but kept    ${found.refusedButKept}`);
  console.log(`calls raised          ${found.callsRaised}`);
  console.log(`  doubled             ${found.callsDoubled}`);
  console.log(`  missed by the board ${found.callsMissedByBoard}`);
  console.log(`reopen, ms            p50 ${share(sorted, 0.5)}, p99 ${share(sorted, 0.99)}`);
  const wrong =
    found.lost + found.doubled + found.refusedButKept + found.callsDoubled + found.callsMissedByBoard;
  process.exitCode = wrong === 0 ? 0 : 1;
}

if (process.argv[1] === SCRIPT) {
  const { values } = parseArgs({
    options: {
      keep: { type: 'boolean', default: false },
      store: { type: 'string', default: '' },
      run: { type: 'string', default: '' },
      rounds: { type: 'string', default: '100' },
      seed: { type: 'string', default: '1' },
    },
  });
  if (values.keep) process.exitCode = await keeperMain({ store: values.store, run: values.run });
  else await main(Number(values.rounds), Number(values.seed));
}
