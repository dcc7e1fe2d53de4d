import { execFileSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { connect, createServer, type AddressInfo, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import type { FeedReport, RunSetup } from '../src/bench/index.ts';
import { createRun, runFolder } from '../src/journal/index.ts';
import {
  attach,
  benchEngine,
  machineClock,
  momentOf,
  noteFeeds,
  spawnKeeper,
  type BoardLink,
} from '../src/keeper/index.ts';
import { loadWorkload } from '../src/plan/index.ts';
import { planTimetable } from '../src/planner/index.ts';
import { epochMs, seconds } from '../src/units/index.ts';

/*
 * Floods a real keeper (the shipped bundle, a journal on this disk) with readings over its port, and says what that costs
 * the keeper and a board that is attached to it. Linux only (/proc).
 *
 *   npm run bench:feed [-- --seconds 20 --rate 10000]
 *
 * It lasts up to a minute longer than the flood: counts are told once a minute.
 */
const PROGRAM = fileURLToPath(new URL('../bin/thirdhand.cjs', import.meta.url));
const RUN = 'boathouse-flood';
/** One line in so many is rubbish. */
const RUBBISH_EVERY = 97;
const PRESS_EVERY_MS = 200;
const QUIET_S = 4;

const PLAN = `thirdhand: 1
title: Boathouse custard
makes: 8 cups
kitchen:
  title: Boathouse
  time zone: UTC
  cold: { fridge shelf: 1 }
  probes:
    cream: {}
    fridge: {}
components:
  cream:
    steps:
      - chill: { rest: 20 min - 4 h, uses: [fridge shelf], until: { probe: cream, falls to: 5 C } }
      - serve: { takes: 5 min, hands: busy }
`;

function setup(): RunSetup {
  const { workload, diagnostics } = loadWorkload([{ file: 'boathouse.yaml', bytes: Buffer.from(PLAN) }], {
    findKitchen: () => undefined,
    timeZone: 'UTC',
  });
  if (!workload) throw new Error(JSON.stringify(diagnostics));
  const begunAt = epochMs(Date.now());
  const planned = planTimetable(workload, { service: { kind: 'soonest' }, now: begunAt });
  if (!('timetable' in planned)) throw new Error(`no timetable: ${planned.status}`);
  return { run: RUN, workload, timetable: planned.timetable, begunAt };
}

async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address() as AddressInfo;
  server.close();
  await once(server, 'close');
  return port;
}

const ticksPerSecond = Number(execFileSync('getconf', ['CLK_TCK'], { encoding: 'utf8' }));

/** Processor time a process has used, in seconds. */
function processorOf(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]?.split(' ') ?? [];
  return (Number(fields[11]) + Number(fields[12])) / ticksPerSecond;
}

/** Memory of a process, in MB. */
const memoryOf = (pid: number): number =>
  Number(/VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1]) / 1024;

/** What a board felt of its keeper in a stretch of time, in ms. */
interface Felt {
  readonly median: number;
  readonly longest: number;
  readonly presses: number;
  /** The longest time between two beats, which are a second apart. */
  readonly beats: number;
}

/** Presses every so often for so long, and measures how long the keeper takes to acknowledge it. `about` names its timers. */
async function feel(link: BoardLink, about: string, lasting: number): Promise<Felt> {
  const times: number[] = [];
  let [beat, beats] = [performance.now(), 0];
  const unsubscribe = link.subscribe(({ kind }) => {
    if (kind !== 'beat') return;
    beats = Math.max(beats, performance.now() - beat);
    beat = performance.now();
  });
  const end = performance.now() + lasting * 1000;
  for (let count = 0; performance.now() < end; count += 1) {
    const name = `${about} ${Math.floor(count / 2)}`;
    const pressedAt = performance.now();
    const pressed = await link.press(
      count % 2 === 0 ? { kind: 'timer', name, length: seconds(600) } : { kind: 'timer done', name },
    );
    if (!pressed.ok) throw new Error(pressed.why);
    times.push(performance.now() - pressedAt);
    await pause(PRESS_EVERY_MS);
  }
  unsubscribe();
  const sorted = times.toSorted((a, b) => a - b);
  return {
    median: sorted[Math.floor(sorted.length / 2)] ?? NaN,
    longest: sorted.at(-1) ?? NaN,
    presses: sorted.length,
    beats: Math.max(beats, performance.now() - beat),
  };
}

/** A line of the flood: two probes in turn, one in JSON, and rubbish now and then. */
function line(index: number): string {
  if (index % RUBBISH_EVERY === 0) return `rubbish \u001B[2J ${index}\n`;
  const celsius = (60 - index / 20_000 + (index % 7) / 10).toFixed(2);
  return index % 2 === 0 ? `cream ${celsius} C\n` : `{"probe":"fridge","celsius":${celsius}}\n`;
}

/** Sends so many lines a second for so long, by the clock; answers how many. */
async function flood(socket: Socket, rate: number, lasting: number): Promise<number> {
  const begun = performance.now();
  let sent = 0;
  while (sent < rate * lasting) {
    const due = Math.min(rate * lasting, Math.floor(((performance.now() - begun) / 1000) * rate));
    const lines = Array.from({ length: due - sent }, (_, more) => line(sent + more));
    sent = due;
    if (lines.length > 0 && !socket.write(lines.join(''))) await once(socket, 'drain');
    await pause(10);
  }
  return sent;
}

/** The highest memory of a process until `stop` is called, in MB. */
function watchMemory(pid: number): { stop(): number } {
  let highest = memoryOf(pid);
  const timer = setInterval(() => (highest = Math.max(highest, memoryOf(pid))), 100);
  return {
    stop() {
      clearInterval(timer);
      return Math.max(highest, memoryOf(pid));
    },
  };
}

/** Waits until what the keeper says of the port accounts for everything that was sent, at most a little over a minute. */
async function accounted(link: BoardLink, feed: string, sent: number): Promise<FeedReport | undefined> {
  const end = performance.now() + 70_000;
  for (;;) {
    const report = link.state.feeds.find((each) => each.feed === feed);
    const all = report ? report.used + report.thinned + report.refused : 0;
    if (all >= sent || performance.now() > end) return report;
    await pause(100);
  }
}

async function openSocket(port: number): Promise<Socket> {
  for (let attempt = 0; attempt < 100; attempt += 1) {
    const socket = connect(port, '127.0.0.1');
    const isOpen = await new Promise<boolean>((resolve) => {
      socket.once('connect', () => resolve(true));
      socket.once('error', () => resolve(false));
    });
    if (isOpen) return socket;
    await pause(50);
  }
  throw new Error(`nobody listens on port ${port}`);
}

async function measure(store: string, rate: number, lasting: number): Promise<void> {
  const port = await freePort();
  const created = createRun(store, setup(), momentOf(machineClock()));
  if (!created.ok) throw new Error(created.problem.what);
  noteFeeds(runFolder(store, RUN), [{ kind: 'port', port }]);
  const env = { ...process.env, THIRDHAND_NOTIFY: 'off' };
  const command = [process.execPath, PROGRAM, 'keeper'] as const;
  const spawned = await spawnKeeper({ store, run: RUN, command: [...command], env });
  if (!spawned.ok) throw new Error(spawned.why);
  const { pid } = spawned;
  const attached = await attach({ store, run: RUN, engine: benchEngine });
  if (!attached.ok) throw new Error(attached.why);
  const { link } = attached;
  try {
    const socket = await openSocket(port);
    const quiet = await feel(link, 'quiet', QUIET_S);
    const before = { memory: memoryOf(pid), processor: processorOf(pid), at: performance.now() };
    const memory = watchMemory(pid);
    const [felt, sent] = await Promise.all([feel(link, 'flood', lasting), flood(socket, rate, lasting)]);
    const took = (performance.now() - before.at) / 1000;
    const processor = ((processorOf(pid) - before.processor) / took) * 100;
    const highest = memory.stop();
    socket.end();
    const report = await accounted(link, `port ${port}`, sent);
    const after = memoryOf(pid);
    const journalled = link.state.history.filter(({ kind }) => kind === 'reading').length;
    const all = report ? report.used + report.thinned + report.refused : 0;
    const rows: readonly (readonly [string, string])[] = [
      ['readings sent', `${sent} in ${took.toFixed(1)} s, ${(sent / took).toFixed(0)} a second`],
      ['  used', `${report?.used ?? 0}`],
      ['  thinned', `${report?.thinned ?? 0}`],
      ['  refused', `${report?.refused ?? 0}`],
      ['  not accounted for', `${sent - all}`],
      ['readings in the journal', `${journalled}`],
      [
        'memory of the keeper, MB',
        `${before.memory.toFixed(0)} before, ${highest.toFixed(0)} at its highest, ${after.toFixed(0)} after`,
      ],
      ['processor, % of a core', processor.toFixed(1)],
      [
        'press to acknowledged, ms',
        `median ${felt.median.toFixed(1)}, longest ${felt.longest.toFixed(1)} (${felt.presses} presses)`,
      ],
      [
        '  without a flood',
        `median ${quiet.median.toFixed(1)}, longest ${quiet.longest.toFixed(1)} (${quiet.presses} presses)`,
      ],
      [
        'longest between two beats, ms',
        `${felt.beats.toFixed(0)} (without a flood ${quiet.beats.toFixed(0)})`,
      ],
    ];
    for (const [what, figure] of rows) console.log(`${what.padEnd(32)}${figure}`);
    console.log(`(Node ${process.versions.node})`);
    if (sent !== all) process.exitCode = 1;
  } finally {
    await link.stopRun();
  }
}

const { values } = parseArgs({
  options: { seconds: { type: 'string', default: '20' }, rate: { type: 'string', default: '10000' } },
});
const store = mkdtempSync(join(tmpdir(), 'thirdhand-feed-'));
try {
  await measure(store, Number(values.rate), Number(values.seconds));
} finally {
  rmSync(store, { recursive: true, force: true });
}
