import { execFileSync } from 'node:child_process';
import { closeSync, mkdtempSync, openSync, rmSync, writeFileSync, writeSync } from 'node:fs';
import { connect, createServer, type AddressInfo, type Server } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PassThrough } from 'node:stream';
import { createServer as createSecureServer } from 'node:tls';
import { readFileSync } from 'node:fs';
import { Aedes } from 'aedes';
import { afterEach, describe, expect, test, vi } from 'vitest';
import type { FeedReport } from '../../src/bench/index.ts';
import { openFeeds, type Feeds, type FeedSpec } from '../../src/feed/index.ts';
import type { Broker, Kitchen, Probe } from '../../src/plan/index.ts';
import { usualProbe } from '../../src/heat/index.ts';
import { until } from '../support/until.ts';
import { workload } from '../support/workloads.ts';

const WORKLOAD = workload({ components: { tea: [{ name: 'pour', spec: { takes: '1 min' } }] } });

const closing: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closing.splice(0).toReversed()) await close();
});

/** Opens feeds and keeps what they bring. */
function listen(specs: readonly FeedSpec[], more: Partial<Kitchen> = {}, env = {}, input?: PassThrough) {
  const readings: string[] = [];
  const reports: FeedReport[] = [];
  const feeds: Feeds = openFeeds({
    specs,
    workload: { ...WORKLOAD, kitchen: { ...WORKLOAD.kitchen, ...more } },
    env,
    ...(input ? { input } : {}),
    onReading: ({ probe, temperature }) =>
      readings.push(`${probe} ${temperature.figure} ${temperature.scale}`),
    onReport: (report) => reports.push(report),
  });
  closing.push(() => feeds.close());
  const last = (): FeedReport | undefined => reports.at(-1);
  return { readings, reports, last };
}

const folder = (): string => {
  const made = mkdtempSync(join(tmpdir(), 'thirdhand-feed-'));
  closing.push(() => rmSync(made, { recursive: true, force: true }));
  return made;
};

/** A port that was free a moment ago. */
async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  await new Promise((resolve) => server.close(resolve));
  return port;
}

describe('lines', () => {
  test('on standard input, until it ends', async () => {
    const input = new PassThrough();
    const { readings, last } = listen([{ kind: 'input' }], {}, {}, input);
    input.write('cream 60\nnonsense\ncre');
    input.end('am 20 C');
    await until('the end', () => last()?.state === 'off');
    expect(readings).toEqual(['cream 60 C']);
    expect(last()).toMatchObject({ feed: 'standard input', detail: 'it has ended', used: 1, refused: 1 });
  });

  test('on a named pipe, from one writer after another', async () => {
    const path = join(folder(), 'probes');
    execFileSync('mkfifo', [path]);
    const { readings, last } = listen([{ kind: 'pipe', path }]);
    expect(last()).toMatchObject({ state: 'on', detail: path });
    for (const line of ['cream 60\n', 'oven 181\n']) {
      const handle = openSync(path, 'w');
      writeSync(handle, line);
      closeSync(handle);
      await until(line, () => readings.some((reading) => line.startsWith(reading.split(' ')[0] ?? '-')));
    }
    expect(readings).toEqual(['cream 60 C', 'oven 181 C']);
    expect(last()?.state).toBe('on');
  });

  test('what is no pipe is said to be none', () => {
    const path = join(folder(), 'file');
    writeFileSync(path, 'cream 60\n');
    expect(listen([{ kind: 'pipe', path }]).last()).toMatchObject({
      state: 'off',
      detail: 'it is no named pipe; make one with mkfifo',
    });
    expect(listen([{ kind: 'pipe', path: `${path}-gone` }]).last()?.detail).toBe(
      'there is nothing of that name',
    );
  });

  test('to a port, from several senders at once; one that sends rubbish harms nobody', async () => {
    const port = await freePort();
    const { readings, reports } = listen([{ kind: 'port', port }]);
    await until('listening', () => reports.some(({ state }) => state === 'on'));
    const [a, b, rude] = [connect(port, '127.0.0.1'), connect(port, '127.0.0.1'), connect(port, '127.0.0.1')];
    rude.write(Buffer.alloc(3_000_000, 0x41));
    a.write('cream 60\n');
    b.write('{"probe":"oven","celsius":181}\n');
    await until('both', () => readings.length === 2);
    expect(readings.toSorted()).toEqual(['cream 60 C', 'oven 181 C']);
    for (const socket of [a, b, rude]) socket.destroy();
  });

  test('a web page that makes a browser send readings to the port sends none', async () => {
    const port = await freePort();
    const { readings, reports } = listen([{ kind: 'port', port }]);
    await until('listening', () => reports.some(({ state }) => state === 'on'));
    const body = 'cream 4 C\n';
    await fetch(`http://127.0.0.1:${port}/`, { method: 'POST', body: body.repeat(1000) }).catch(
      () => undefined,
    );
    const honest = connect(port, '127.0.0.1');
    honest.write('oven 181\n');
    await until('an honest one', () => readings.length > 0);
    expect(readings).toEqual(['oven 181 C']);
    honest.destroy();
  });

  test('more senders than eight are turned away and counted', async () => {
    const port = await freePort();
    const { reports } = listen([{ kind: 'port', port }]);
    await until('listening', () => reports.some(({ state }) => state === 'on'));
    const senders = Array.from({ length: 10 }, () => connect(port, '127.0.0.1'));
    for (const sender of senders) sender.on('error', () => undefined);
    await until('counted', () => reports.some(({ refused }) => refused === 2));
    expect(senders).toHaveLength(10);
    for (const sender of senders) sender.destroy();
  });

  test('a pipe that is made later is read from then on', async () => {
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
    closing.push(() => vi.useRealTimers());
    const path = join(folder(), 'probes');
    const { readings, last } = listen([{ kind: 'pipe', path }]);
    expect(last()).toMatchObject({
      feed: 'pipe probes',
      state: 'off',
      detail: 'there is nothing of that name',
    });
    execFileSync('mkfifo', [path]);
    vi.advanceTimersByTime(5000);
    expect(last()?.state).toBe('on');
    // Standing open for reading too, so that this does not wait where nobody listens yet.
    const handle = openSync(path, 'r+');
    closing.push(() => closeSync(handle));
    writeSync(handle, 'cream 60\n');
    await new Promise(setImmediate);
    vi.advanceTimersByTime(200);
    vi.useRealTimers();
    await until('a reading', () => readings.length === 1);
  });

  test('a port that is taken is said to be', async () => {
    const server = createServer();
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    closing.push(() => server.close());
    const { last } = listen([{ kind: 'port', port: (server.address() as AddressInfo).port }]);
    await until('a report', () => last());
    expect(last()).toMatchObject({ state: 'off', detail: 'another program has that port' });
  });
});

const probe = (name: string, topic: string, field?: string, scale: 'C' | 'F' = 'C'): Probe => ({
  ...usualProbe(name),
  mqtt: { topic, scale, ...(field === undefined ? {} : { field }) },
});

/** A broker in this process; with `secret`, only for a user who knows it. */
async function broker(port = 0, secret?: string, tls?: { key: Buffer; cert: Buffer }) {
  const aedes = await Aedes.createBroker();
  if (secret !== undefined) {
    aedes.authenticate = (_client, user, password, done) =>
      done(null, user === 'bench' && password?.toString() === secret);
  }
  const handle = (stream: Parameters<typeof aedes.handle>[0]): unknown => aedes.handle(stream);
  const server: Server = tls ? createSecureServer(tls, handle) : createServer(handle);
  await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve));
  const close = (): Promise<unknown> =>
    new Promise<void>((resolve) => {
      aedes.close(() => server.close(() => resolve()));
    });
  const say = (topic: string, payload: string, retain = false): Promise<void> =>
    new Promise((resolve) => {
      aedes.publish({ cmd: 'publish', topic, payload, qos: 0, retain, dup: false }, () => resolve());
    });
  return { aedes, say, close, port: (server.address() as AddressInfo).port };
}

const kitchenWith = (url: string, more: Partial<Broker> = {}): Partial<Kitchen> => ({
  broker: { url, ...more },
  probes: [probe('cream', 'bench/cream'), probe('oven', 'bench/oven', 'air.now', 'F')],
});

describe('a broker', () => {
  test('brings the figure of a topic, also from a field; what is no figure, or was kept from earlier, is refused', async () => {
    const { say, close, port } = await broker();
    closing.push(close);
    await say('bench/cream', '44', true);
    const { readings, last } = listen([], kitchenWith(`mqtt://127.0.0.1:${port}`));
    await until('connected', () => last()?.state === 'on');
    await say('bench/cream', 'hello');
    await say('bench/oven', '{"air":{"now":356}}');
    await say('bench/oven', `{"air":"${'x'.repeat(5000)}"}`);
    await say('bench/elsewhere', '20');
    await say('bench/cream', '61.5');
    await until('both readings', () => readings.length === 2);
    expect(readings).toEqual(['oven 356 F', 'cream 61.5 C']);
  });

  test('that goes away is said to be away, and read again when it is back', async () => {
    const first = await broker();
    const { readings, last, reports } = listen([], kitchenWith(`mqtt://127.0.0.1:${first.port}`));
    await until('connected', () => last()?.state === 'on');
    await first.close();
    await until('off', () => last()?.state === 'off');
    const second = await broker(first.port);
    closing.push(second.close);
    await until('on again', () => last()?.state === 'on');
    await second.say('bench/cream', '30');
    await until('a reading', () => readings.length === 1);
    expect(reports.map(({ state }) => state)).toEqual(['on', 'off', 'on']);
  });

  test('on which somebody publishes a message without end is left, and that is said', async () => {
    const { say, close, port } = await broker();
    closing.push(close);
    const { last } = listen([], kitchenWith(`mqtt://127.0.0.1:${port}`));
    await until('connected', () => last()?.state === 'on');
    await say('bench/cream', 'x'.repeat(5_000_000));
    await until('left', () => last()?.state === 'off');
    expect(last()?.detail).toMatch(/a message there is far too large$/);
  });

  test('asks for a password: the one in the environment opens it, a wrong one and none are said', async () => {
    const { say, close, port } = await broker(0, 'rye and caraway');
    closing.push(close);
    const kitchen = kitchenWith(`mqtt://127.0.0.1:${port}`, { user: 'bench', passwordFrom: 'BENCH_WORD' });
    const none = listen([], kitchen);
    expect(none.last()?.detail).toBe(
      'the password is to be in the environment as BENCH_WORD, and is not there',
    );
    const wrong = listen([], kitchen, { BENCH_WORD: 'wheat' });
    await until('refused', () => /does not let this user in/.test(wrong.last()?.detail ?? ''));
    expect(wrong.last()?.detail).not.toContain('wheat');
    const right = listen([], kitchen, { BENCH_WORD: 'rye and caraway' });
    await until('on', () => right.last()?.state === 'on');
    await say('bench/cream', '30');
    await until('a reading', () => right.readings.length === 1);
  });

  test('tells others on the presence topic when this program is there, and when it is gone without a word', async () => {
    const { aedes, close, port } = await broker();
    closing.push(close);
    const told: string[] = [];
    aedes.on('publish', ({ topic, payload }) => {
      if (topic === 'bench/thirdhand') told.push(payload.toString());
    });
    listen([], kitchenWith(`mqtt://127.0.0.1:${port}`, { presence: 'bench/thirdhand' }));
    await until('on', () => told.includes('on'));
    let client: { conn: { destroy(): void } } | undefined;
    for (const each of Object.values(
      (aedes as unknown as { clients: Record<string, typeof client> }).clients,
    ))
      client = each;
    client?.conn.destroy();
    await until('the will', () => told.includes('off'));
    await until('back', () => told.at(-1) === 'on');
    expect(told).toEqual(['on', 'off', 'on']);
  });

  test('by TLS, with an authority of its own', async () => {
    const at = folder();
    const [key, cert] = [join(at, 'key.pem'), join(at, 'cert.pem')];
    const words = [
      'req',
      '-x509',
      '-newkey',
      'rsa:2048',
      '-nodes',
      '-keyout',
      key,
      '-out',
      cert,
      '-days',
      '2',
    ];
    execFileSync('openssl', [...words, '-subj', '/CN=localhost', '-addext', 'subjectAltName=IP:127.0.0.1'], {
      stdio: 'ignore',
    });
    const { say, close, port } = await broker(0, undefined, {
      key: readFileSync(key),
      cert: readFileSync(cert),
    });
    closing.push(close);
    const stranger = listen([], kitchenWith(`mqtts://127.0.0.1:${port}`));
    await until('not trusted', () => /certificate/i.test(stranger.last()?.detail ?? ''));
    expect(stranger.last()?.state).toBe('off');
    const kitchen = kitchenWith(`mqtts://127.0.0.1:${port}`, { authority: cert });
    const { readings, last } = listen([], kitchen);
    await until('on', () => last()?.state === 'on');
    await say('bench/cream', '30');
    await until('a reading', () => readings.length === 1);
    expect(readings).toEqual(['cream 30 C']);
    const nowhere = kitchenWith(`mqtts://127.0.0.1:${port}`, { authority: 'cert.pem' });
    expect(listen([], nowhere).last()?.detail).toBe(
      "give the whole path of the authority's certificate: cert.pem",
    );
  });
});
