import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { spawn, type IPty } from '@lydell/node-pty';
import xterm from '@xterm/headless';

/*
 * What the board costs, measured on the shipped bundle in a pseudo-terminal of 120x40: the gallery plan, live, one frame a
 * second. Beside each figure stands a bare writer that draws the very same frames, cell by cell, without React, layout
 * or a bench: what any board would cost at the least. Linux only (/proc).
 *
 *   node scripts/bench-board.ts [--seconds 30] [--presses 200]
 */
const COLUMNS = 120;
const ROWS = 40;
/** The figures of Ink 8 that the board is to keep to (docs/decisions.md). */
const LIMITS = { cpu: 2, bytes: 3078, rss: 172, p50: 12.9, p99: 50, start: 267 };

/** A cell: its sign, and the parameters of the `CSI … m` that styles it. */
type Cell = readonly [sign: string, style: string];
type Frame = readonly (readonly Cell[])[];

interface Figures {
  readonly cpu: number;
  readonly frames: number;
  readonly bytes: number;
  readonly rss: number;
  readonly p50: number;
  readonly p99: number;
}

/** A program on a pseudo-terminal and the cells it shows. */
class Stage {
  readonly grid = new xterm.Terminal({ cols: COLUMNS, rows: ROWS, allowProposedApi: true });
  readonly child: IPty;
  readonly startedAt = performance.now();
  bytes = 0;
  writes = 0;
  private seen: () => void = () => undefined;

  constructor(args: readonly string[]) {
    const env = { ...process.env, TERM: 'xterm-256color', CI: '' };
    this.child = spawn(process.execPath, [...args], {
      name: 'xterm-256color',
      cols: COLUMNS,
      rows: ROWS,
      env,
    });
    this.child.onData((chunk) => {
      this.bytes += Buffer.byteLength(chunk);
      this.writes += 1;
      this.grid.write(chunk, () => this.seen());
    });
  }

  text(): string {
    const { active } = this.grid.buffer;
    return Array.from({ length: ROWS }, (_, row) => active.getLine(row)?.translateToString(true) ?? '').join(
      '\n',
    );
  }

  /** Resolves as soon as the cells are as wanted. */
  async until(wanted: (text: string) => boolean, limit = 20_000): Promise<void> {
    if (wanted(this.text())) return;
    await new Promise<void>((resolve, reject) => {
      const timer = setTimeout(() => reject(new Error(`the screen stayed\n${this.text()}`)), limit);
      this.seen = () => {
        if (!wanted(this.text())) return;
        clearTimeout(timer);
        this.seen = () => undefined;
        resolve();
      };
    });
  }

  frame(): Frame {
    const { active } = this.grid.buffer;
    return Array.from({ length: ROWS - 1 }, (_, row) => {
      const line = active.getLine(row);
      return Array.from({ length: COLUMNS }, (__, column): Cell => {
        const cell = line?.getCell(column);
        const style = [cell?.isBold() ? 1 : 0, cell?.isDim() ? 2 : 0, cell?.isInverse() ? 7 : 0];
        if (cell && !cell.isFgDefault()) style.push(30 + cell.getFgColor());
        return [cell?.getChars() || ' ', style.filter((each) => each > 0).join(';')];
      });
    });
  }
}

const sleep = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));
const ticksPerSecond = Number(execFileSync('getconf', ['CLK_TCK'], { encoding: 'utf8' }));

/** CPU time a process has used, in seconds. */
function cpuOf(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]?.split(' ') ?? [];
  return (Number(fields[11]) + Number(fields[12])) / ticksPerSecond;
}

const rssOf = (pid: number): number =>
  Number(/VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1]) / 1024;

const quantile = (values: readonly number[], part: number): number => {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * part))] ?? NaN;
};

/** One frame a second for so long, then key presses that each move one mark on the screen. */
async function measure(stage: Stage, lasting: number, presses: number, keep: Frame[]): Promise<Figures> {
  await sleep(2000);
  const before = {
    cpu: cpuOf(stage.child.pid),
    bytes: stage.bytes,
    writes: stage.writes,
    at: performance.now(),
  };
  for (let second = 0; second < lasting; second += 1) {
    keep.push(stage.frame());
    await sleep(1000);
  }
  const seconds = (performance.now() - before.at) / 1000;
  const cpu = ((cpuOf(stage.child.pid) - before.cpu) / seconds) * 100;
  const bytes = stage.bytes - before.bytes;
  const times: number[] = [];
  for (let press = 0; press < presses; press += 1) {
    const key = press % 2 === 0 ? '1' : '2';
    const pressedAt = performance.now();
    stage.child.write(key);
    await stage.until((text) => text.includes(`▸${key}`));
    times.push(performance.now() - pressedAt);
    keep[lasting + (press % 2)] ??= stage.frame();
    // Not in step with anything that ticks.
    await sleep(60 + (press % 7) * 11);
  }
  return {
    cpu,
    frames: lasting,
    bytes: bytes / lasting,
    rss: rssOf(stage.child.pid),
    p50: quantile(times, 0.5),
    p99: quantile(times, 0.99),
  };
}

/** From starting the program to its first whole frame, in ms: the middle of so many. */
async function coldStart(args: readonly string[], count: number): Promise<number> {
  const times: number[] = [];
  for (let round = 0; round < count; round += 1) {
    const stage = new Stage(args);
    await stage.until((text) => text.includes('serve'));
    times.push(performance.now() - stage.startedAt);
    stage.child.kill('SIGKILL');
    await sleep(200);
  }
  return quantile(times, 0.5);
}

/** The bare writer: draws the kept frames one a second and the two pressed ones on their keys, writing only cells that differ. */
function bareWriter(file: string): void {
  const frames = JSON.parse(readFileSync(file, 'utf8')) as Frame[];
  const [one, two] = frames.slice(-2);
  let shown: Frame = [];
  const draw = (frame: Frame): void => {
    let out = '';
    let style = '';
    for (const [row, cells] of frame.entries()) {
      let follows = false;
      for (const [column, [sign, wanted]] of cells.entries()) {
        const old = shown[row]?.[column];
        if (old?.[0] === sign && old[1] === wanted) {
          follows = false;
          continue;
        }
        if (!follows) out += `\u001B[${row + 1};${column + 1}H`;
        if (style !== wanted) out += `\u001B[0${wanted === '' ? '' : `;${wanted}`}m`;
        style = wanted;
        out += sign;
        follows = true;
      }
    }
    shown = frame;
    process.stdout.write(`${out}\u001B[0m`);
  };
  process.stdout.write('\u001B[?1049h\u001B[?25l');
  draw(frames[0] ?? []);
  let at = 0;
  const ticking = setInterval(() => draw(frames[(at += 1) % (frames.length - 2)] ?? []), 1000);
  process.stdin.setRawMode(true).on('data', (keys) => {
    // From the first press on only presses count: a frame in between would wipe what the press has drawn.
    clearInterval(ticking);
    for (const key of keys.toString()) if (key === '1' || key === '2') draw((key === '1' ? one : two) ?? []);
  });
}

function report(board: Figures & { start: number; resume: number }, bare: Figures & { start: number }): void {
  const rows: readonly (readonly [string, number, number, number | undefined, number])[] = [
    ['CPU of a core at 1 Hz, %', board.cpu, bare.cpu, LIMITS.cpu, 2],
    ['bytes a frame', board.bytes, bare.bytes, LIMITS.bytes, 0],
    ['RSS, MB', board.rss, bare.rss, LIMITS.rss, 0],
    ['key to cell p50, ms', board.p50, bare.p50, LIMITS.p50, 1],
    ['key to cell p99, ms', board.p99, bare.p99, LIMITS.p99, 1],
    ['cold start to first frame (resume), ms', board.resume, bare.start, LIMITS.start, 0],
    ['the same with planning and a new keeper (start), ms', board.start, NaN, undefined, 0],
  ];
  console.log(
    `${'120x40, the gallery plan'.padEnd(54)}${'board'.padStart(8)}${'bare'.padStart(8)}${'limit'.padStart(8)}`,
  );
  for (const [what, ours, least, limit, digits] of rows) {
    const figure = (value: number | undefined): string =>
      (value === undefined || Number.isNaN(value) ? '' : value.toFixed(digits)).padStart(8);
    const over = limit !== undefined && ours > limit ? '  over' : '';
    console.log(`${what.padEnd(54)}${figure(ours)}${figure(least)}${figure(limit)}${over}`);
  }
  console.log(`(${board.frames} frames; Node ${process.versions.node})`);
}

async function main(): Promise<void> {
  const option = (name: string, otherwise: number): number => {
    const at = process.argv.indexOf(name);
    return at < 0 ? otherwise : Number(process.argv[at + 1]);
  };
  const lasting = option('--seconds', 30);
  const presses = option('--presses', 200);
  const folder = mkdtempSync(join(tmpdir(), 'thirdhand-bench-'));
  const self = fileURLToPath(import.meta.url);
  const program = fileURLToPath(new URL('../bin/thirdhand.cjs', import.meta.url));
  const store = ['--store', join(folder, 'store')];
  try {
    const stage = new Stage([program, 'start', 'gallery-opening', '--serve', 'soonest', ...store]);
    await stage.until((text) => text.includes('serve'));
    const start = performance.now() - stage.startedAt;
    const frames: Frame[] = [];
    const figures = await measure(stage, lasting, presses, frames);
    stage.child.kill('SIGKILL');
    const resume = await coldStart([program, 'resume', ...store], 7);
    const file = join(folder, 'frames.json');
    writeFileSync(file, JSON.stringify(frames));
    const bare = new Stage([self, '--bare', file]);
    await bare.until((text) => text.includes('serve'));
    const least = await measure(bare, lasting, presses, []);
    bare.child.kill('SIGKILL');
    const bareStart = await coldStart([self, '--bare', file], 7);
    report({ ...figures, start, resume }, { ...least, start: bareStart });
    await endRun(new Stage([program, 'resume', ...store]));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Ends the keeper that was started for the measurement, as a cook would. */
async function endRun(stage: Stage): Promise<void> {
  await stage.until((text) => text.includes('serve'));
  stage.child.write(' ');
  await sleep(400);
  stage.child.write('q');
  await stage.until((text) => text.includes('end the run'));
  stage.child.write('e');
  await new Promise<void>((resolve) => stage.child.onExit(() => resolve()));
}

const bareAt = process.argv.indexOf('--bare');
if (bareAt >= 0) bareWriter(process.argv[bareAt + 1] ?? '');
else await main();
