import { statSync } from 'node:fs';
import { connect, type Socket } from 'node:net';
import { join } from 'node:path';
import { afterEach, describe, expect, test } from 'vitest';
import type { Happening } from '../../src/bench/index.ts';
import { createRun, openRun, runFolder, type Journal } from '../../src/journal/index.ts';
import { attach } from '../../src/keeper/client.ts';
import { machineClock, momentOf } from '../../src/keeper/clock.ts';
import { openCore, type Core } from '../../src/keeper/core.ts';
import type { LinkChange, RunLink } from '../../src/keeper/link.ts';
import { lineOf, PROTOCOL, type FromBoard } from '../../src/keeper/protocol.ts';
import { runKeeper } from '../../src/keeper/run-keeper.ts';
import { serveBoards, type BoardServer } from '../../src/keeper/server.ts';
import { socketPath } from '../../src/keeper/socket-path.ts';
import { epochMs, seconds } from '../../src/units/index.ts';
import { fakeBench } from '../support/fake-bench.ts';
import { tempFolder } from '../support/folder.ts';
import { tinySetup } from '../support/tiny-setup.ts';
import { until } from '../support/until.ts';

const clock = machineClock();
const timer = (name: string, length = 600): Happening => ({ kind: 'timer', name, length: seconds(length) });

/** A keeper in this process with its real socket. */
interface Kept {
  readonly store: string;
  readonly core: Core;
  readonly server: BoardServer;
  readonly journal: Journal;
  stop(): Promise<void>;
  /** As if it had been killed: the connections break, nothing is said, and its card stays behind. */
  vanish(): void;
}

const cleanups: (() => Promise<void> | void)[] = [];
afterEach(async () => {
  for (const cleanup of cleanups.splice(0).toReversed()) await cleanup();
});

function newStore(): string {
  const store = join(tempFolder(), 'store');
  createRun(store, tinySetup('porch', Date.now()), momentOf(clock));
  return store;
}

async function keep(store: string, patience = 10_000): Promise<Kept> {
  const opened = openRun(store, 'porch', { purpose: 'keep', now: momentOf(clock) });
  const { journal } = opened;
  if (journal === undefined) throw new Error(opened.say);
  const core = openCore({ journal, engine: fakeBench, clock });
  const server = await serveBoards(core, socketPath(runFolder(store, 'porch')), { patience, boards: 32 });
  journal.announce(server.path);
  void runKeeper(core, server);
  let open = true;
  const stop = async (): Promise<void> => {
    if (!open) return;
    open = false;
    core.take({ kind: 'stop', reason: 'stopped' });
    await server.close();
    journal.close();
  };
  const vanish = (): void => {
    open = false;
    server.cut();
    core.take({ kind: 'stop', reason: 'failed' });
    journal.close('broken');
  };
  cleanups.push(stop);
  return { store, core, server, journal, stop, vanish };
}

async function board(store: string): Promise<{ link: RunLink; changes: LinkChange[] }> {
  const attached = await attach({ store, run: 'porch', engine: fakeBench });
  if (!attached.ok) throw new Error(attached.why);
  const changes: LinkChange[] = [];
  attached.link.subscribe((change) => changes.push(change));
  cleanups.push(() => attached.link.close());
  return { link: attached.link, changes };
}

/** A board that speaks for itself, badly. */
async function stranger(
  kept: Kept,
  ...lines: readonly (FromBoard | string)[]
): Promise<{ socket: Socket; heard: () => string }> {
  const socket = connect(kept.server.path);
  let text = '';
  socket.on('data', (chunk) => (text += chunk.toString()));
  socket.on('error', () => undefined);
  cleanups.push(() => void socket.destroy());
  await new Promise((resolve) => socket.once('connect', resolve));
  for (const line of lines) socket.write(typeof line === 'string' ? line : lineOf(line));
  return { socket, heard: () => text };
}

const hello: FromBoard = { say: 'attach', protocol: PROTOCOL, after: 0 };

describe('boards', () => {
  test('see the same state, and every press of each other', async () => {
    const kept = await keep(newStore());
    const first = await board(kept.store);
    expect(await first.link.press(timer('tea'))).toEqual({ ok: true });
    const second = await board(kept.store);
    expect(await second.link.press(timer('milk'))).toEqual({ ok: true });
    await until('the first board hears of the second', () => first.link.state.timers.length === 2);
    for (const { link } of [first, second]) expect(link.state).toEqual(kept.core.state);
    expect(first.changes.filter((change) => change.kind === 'event')).toMatchObject([
      { event: { kind: 'timer', name: 'tea', source: 'cook' } },
      { event: { kind: 'timer', name: 'milk' } },
    ]);
  });

  test('are told why a press is refused, in words', async () => {
    const { link } = await board((await keep(newStore())).store);
    expect(await link.press({ kind: 'timer done', name: 'tea' })).toEqual({
      ok: false,
      why: 'there is no timer tea',
    });
    expect(await link.press({ kind: 'heard', key: 'k'.repeat(100_000) })).toMatchObject({ ok: false });
  });

  test('count with the keeper: a timer rings in both, and the clocks agree', async () => {
    const kept = await keep(newStore());
    const { link, changes } = await board(kept.store);
    await link.press(timer('tea', 0.05));
    await until('the call', () => link.state.calls.length === 1);
    expect(changes.find((change) => change.kind === 'event' && change.effects.length > 0)).toMatchObject({
      effects: [{ kind: 'ring', key: 'timer tea', nth: 1 }],
    });
    await until('a beat', () => changes.some((change) => change.kind === 'beat'));
    expect(Math.abs(link.clock() - kept.core.now())).toBeLessThan(200);
  });

  test('can end the keeper', async () => {
    const kept = await keep(newStore());
    const [first, second] = [await board(kept.store), await board(kept.store)];
    await first.link.stopRun();
    await until('the other hears of it', () => second.changes.some((change) => change.kind === 'ended'));
    expect([first.changes.at(-1), second.changes.at(-1)]).toEqual([
      { kind: 'ended', reason: 'stopped' },
      { kind: 'ended', reason: 'stopped' },
    ]);
    expect(await first.link.press(timer('tea'))).toMatchObject({ ok: false });
  });

  test('a board that is lost finds the next keeper, and sends again what was not acknowledged', async () => {
    const store = newStore();
    const kept = await keep(store);
    const { link, changes } = await board(store);
    await link.press(timer('tea'));
    kept.vanish();
    await until('the loss is told', () => changes.some((change) => change.kind === 'lost'));
    const pressed = link.press(timer('milk'));
    const next = await keep(store);
    expect(await pressed).toEqual({ ok: true });
    expect(changes.map(({ kind }) => kind).filter((kind) => kind !== 'beat')).toEqual([
      'event',
      'lost',
      'back',
      'event',
    ]);
    expect(link.state.timers.map(({ name }) => name)).toEqual(['tea', 'milk']);
    expect(link.state).toEqual(next.core.state);
  });

  test('attaching where nobody keeps the run says so', async () => {
    expect(await attach({ store: newStore(), run: 'porch', engine: fakeBench, deadline: 100 })).toEqual({
      ok: false,
      why: 'no keeper answers for this run',
    });
  });

  test('the socket is for its user alone', async () => {
    const kept = await keep(newStore());
    expect((statSync(kept.server.path).mode & 0o777).toString(8)).toBe('600');
  });
});

test('a press that no keeper could read is refused at once, and the link stays up', async () => {
  const kept = await keep(newStore());
  const { link, changes } = await board(kept.store);
  const why = 'that is no press that a keeper understands';
  for (const press of [timer(''), timer('n'.repeat(301)), timer('tea', Infinity)])
    expect(await link.press(press)).toEqual({ ok: false, why });
  expect(await link.press(timer('tea'))).toEqual({ ok: true });
  expect(changes.some((change) => change.kind === 'lost')).toBe(false);
});

describe('strangers', () => {
  test.each([
    ['garbage', 'GET / HTTP/1.1\r\n\r\n'],
    ['a press before attaching', lineOf({ say: 'press', id: 'a', happening: timer('tea') })],
    ['an unknown word', '{"say":"sing"}\n'],
    ['bytes that are no text', '\u00ff\u00fe\n'],
    ['a line without end', 'x'.repeat(70_000)],
    ['a deep nest', `${'['.repeat(60_000)}\n`],
  ])('%s ends that connection only', async (_name, line) => {
    const kept = await keep(newStore());
    const { link } = await board(kept.store);
    const { socket } = await stranger(kept, line);
    await until('the connection ends', () => socket.destroyed || socket.readableEnded);
    expect(await link.press(timer('tea'))).toEqual({ ok: true });
  });

  test.each([
    ['the clock', { kind: 'clock' }],
    ['a gap', { kind: 'gap', from: epochMs(0), reason: 'machine slept' }],
    [
      'a forged temperature',
      { kind: 'reading', probe: 'p', temperature: { celsius: 4, figure: 90, scale: 'C' } },
    ],
    ['words nobody asked for', { kind: 'served', extra: 1 }],
  ])('may not say %s', async (_name, happening) => {
    const kept = await keep(newStore());
    const line = `${JSON.stringify({ say: 'press', id: 'a', happening })}\n`;
    const { socket } = await stranger(kept, hello, line);
    await until('the connection ends', () => socket.destroyed || socket.readableEnded);
    expect(kept.journal.events).toEqual([]);
  });

  test('of another version are told so', async () => {
    const kept = await keep(newStore());
    const { socket, heard } = await stranger(kept, { say: 'attach', protocol: 99, after: 0 });
    await until('the connection ends', () => socket.destroyed || socket.readableEnded);
    expect(heard()).toContain('"say":"end","reason":"failed"');
  });

  test('who flood take turns with the clock and with the other boards', async () => {
    const kept = await keep(newStore());
    const { promise: turn, resolve } = Promise.withResolvers<number>();
    const unwatch = kept.core.watch(() => {
      unwatch();
      setImmediate(() => resolve(kept.journal.events.length));
    });
    const presses = Array.from({ length: 500 }, (_, n) =>
      lineOf({ say: 'press', id: `flood-${n}`, happening: timer(`${n}`) }),
    );
    await stranger(kept, hello, presses.join(''));
    expect(await turn).toBeLessThan(50);
    await until('all of it is taken in the end', () => kept.journal.events.length === 500);
    expect(kept.journal.events.map(({ id }) => id)).toEqual(presses.map((_, n) => `flood-${n}`));
  });

  test('who stop reading are dropped, and stall nobody', async () => {
    const kept = await keep(newStore(), 200);
    const { link } = await board(kept.store);
    const { socket } = await stranger(kept, hello);
    socket.pause();
    await until('both boards are there', () => kept.server.boards === 2);
    const name = 'n'.repeat(290);
    const all = await Promise.all(Array.from({ length: 1000 }, (_, n) => link.press(timer(`${n}-${name}`))));
    expect(all.every((answer) => answer.ok)).toBe(true);
    await until('it is dropped', () => kept.server.boards === 1);
    expect(await link.press(timer('after'))).toEqual({ ok: true });
  });
});

test('a path too long for a socket has a short stand-in among the temporary files', () => {
  const near = socketPath('/tmp/s/runs/porch');
  const far = socketPath(`/tmp/${'deep/'.repeat(30)}runs/porch`);
  expect(near).toBe('/tmp/s/runs/porch/keeper.sock');
  expect(Buffer.byteLength(far)).toBeLessThan(100);
  expect((statSync(join(far, '..')).mode & 0o777).toString(8)).toBe('700');
});
