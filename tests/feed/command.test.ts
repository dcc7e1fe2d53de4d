import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { connect, createServer, type AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { startThirdhand, thirdhand } from '../support/program.ts';
import { until } from '../support/until.ts';

/*
 * The option --feed of the real program: readings on its standard input, and by a port that is open again after a run was
 * stopped and resumed.
 */
const folder = mkdtempSync(join(tmpdir(), 'thirdhand-command-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const PLAN = `
thirdhand: 1
title: Quay kiosk
makes: 12 cups
kitchen: { title: Kiosk, cold: { fridge shelf: 1 }, time zone: UTC }
components:
  cream:
    steps:
      - chill: { rest: 20 min - 4 h, uses: [fridge shelf], until: { probe: cream, falls to: 5 C } }
      - serve: { takes: 5 min, hands: busy }
`;
const plan = join(folder, 'kiosk.yaml');
writeFileSync(plan, PLAN);
const store = ['--store', join(folder, 'store')];

async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  await new Promise((resolve) => server.close(resolve));
  return port;
}

/** Writes a reading to a port until a board shows it. */
async function shows(board: ReturnType<typeof startThirdhand>, port: number, reading: string): Promise<void> {
  const send = (): void => {
    const socket = connect(port, '127.0.0.1');
    socket.on('error', () => undefined);
    socket.end(`cream ${reading}\n`);
    board.stdin?.write('status\n');
  };
  await until(
    reading,
    () => {
      if (board.lines().includes(reading)) return true;
      send();
      return false;
    },
    15_000,
  );
}

test('readings come on standard input, and by a port that a resumed run opens again', async () => {
  const port = await freePort();
  const sender = startThirdhand([
    'start',
    plan,
    '--serve',
    'soonest',
    '--feed',
    '-',
    '--feed',
    `port:${port}`,
    ...store,
  ]);
  await until('the first call', () => /cream/.test(sender.lines()), 15_000);
  // A line of words is none here: it is refused like any other rubbish.
  sender.stdin?.end('stop\nstop\ncream 61.5 C\n');
  const board = startThirdhand(['resume', '--plain', ...store]);
  await until('both feeds', () => {
    board.stdin?.write('status\n');
    return (
      /standard input: off, it has ended: 1 used/.test(board.lines()) && board.lines().includes('61.5 C')
    );
  });
  expect(board.lines()).toMatch(/standard input: off, it has ended: 1 used, 2 refused/);
  sender.kill('SIGINT');
  await until('the sender has left', () => sender.exitCode !== null);
  expect(sender.exitCode).toBe(0);
  const refused = await thirdhand(['resume', '--plain', '--feed', 'port:9311', ...store]);
  expect([refused.code, refused.err]).toEqual([1, expect.stringMatching(/its feeds are open already/)]);
  board.stdin?.write('stop\nstop\n');
  await until('the run has stopped', () => board.exitCode !== null);
  const again = startThirdhand(['resume', '--plain', ...store]);
  await until('resumed', () => /Quay kiosk/.test(again.lines()), 15_000);
  await shows(again, port, '44.5 C');
  again.stdin?.write('stop\nstop\n');
  await until('the end', () => again.exitCode !== null);
}, 60_000);

test('what is no feed is said to be none, before anything is begun', async () => {
  const ran = await thirdhand(['start', plan, '--feed', 'probe', '--serve', 'soonest', ...store]);
  expect([ran.code, ran.err]).toEqual([2, expect.stringMatching(/"probe" is no feed[^]*named pipe/)]);
});
