import { execFileSync, spawn, type ChildProcess } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { createServer, type AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { setTimeout as pause } from 'node:timers/promises';
import { join } from 'node:path';
import { connect } from 'mqtt';
import { afterAll, expect, test } from 'vitest';
import { startThirdhand } from '../support/program.ts';
import { until } from '../support/until.ts';

/*
 * The whole way from a real broker to a board: Debian's mosquitto with a password, a run that reads a probe from it, and the
 * broker lost and found again on the way. Where no mosquitto is installed this is skipped, and the list of tests says so.
 */
const MOSQUITTO = ['/usr/sbin/mosquitto', '/usr/local/sbin/mosquitto', '/usr/bin/mosquitto'].find(existsSync);
const folder = mkdtempSync(join(tmpdir(), 'thirdhand-mosquitto-'));
const running: ChildProcess[] = [];

afterAll(() => {
  for (const child of running) child.kill('SIGKILL');
  rmSync(folder, { recursive: true, force: true });
});

const PLAN = `
thirdhand: 1
title: Quay kiosk
makes: 12 cups
kitchen: kiosk
components:
  cream:
    steps:
      - chill: { rest: 20 min - 4 h, uses: [fridge shelf], until: { probe: cream, falls to: 5 C } }
      - serve: { takes: 5 min, hands: busy }
`;

const kitchen = (port: number): string => `
thirdhand: 1
kitchen: kiosk
time zone: UTC
cold:
  fridge shelf: 1
broker: { url: "mqtt://127.0.0.1:${port}", user: bench, password from: KIOSK_WORD, presence: kiosk/board }
probes:
  cream: { topic: kiosk/cream, field: reading.now }
`;

async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  await new Promise((resolve) => server.close(resolve));
  return port;
}

function startBroker(program: string, port: number): ChildProcess {
  const words = join(folder, 'words');
  if (!existsSync(words)) {
    execFileSync('mosquitto_passwd', ['-b', '-c', words, 'bench', 'rye and caraway']);
  }
  const config = join(folder, 'broker.conf');
  const lines = [
    `listener ${port} 127.0.0.1`,
    'allow_anonymous false',
    `password_file ${words}`,
    'user root',
  ];
  writeFileSync(config, `${lines.join('\n')}\n`);
  const child = spawn(program, ['-c', config], { stdio: 'ignore' });
  running.push(child);
  return child;
}

test.skipIf(MOSQUITTO === undefined)(
  'a board shows what a real broker brings, also after the broker was gone',
  async () => {
    const port = await freePort();
    let broker = startBroker(MOSQUITTO ?? '', port);
    mkdirSync(join(folder, 'kitchens'));
    writeFileSync(join(folder, 'kiosk.yaml'), PLAN);
    writeFileSync(join(folder, 'kitchens', 'kiosk.yaml'), kitchen(port));
    const sender = connect(`mqtt://127.0.0.1:${port}`, {
      username: 'bench',
      password: 'rye and caraway',
      reconnectPeriod: 200,
    });
    sender.on('error', () => undefined);
    process.env['KIOSK_WORD'] = 'rye and caraway';
    const store = join(folder, 'store');
    const board = startThirdhand([
      'start',
      join(folder, 'kiosk.yaml'),
      '--serve',
      'soonest',
      '--plain',
      '--store',
      store,
    ]);
    running.push(board);
    try {
      await until('the first call', () => /cream/.test(board.lines()), 20_000);
      board.stdin?.write('ok\n');
      const reads = (degrees: number) => async (): Promise<boolean> => {
        sender.publish('kiosk/cream', `{"reading":{"now":${degrees}}}`);
        board.stdin?.write('status\n');
        await pause(200);
        return board.lines().includes(`${degrees} C`);
      };
      await until('the first reading on the board', reads(61.5), 20_000);
      const gone = new Promise((resolve) => broker.once('exit', resolve));
      broker.kill('SIGKILL');
      await gone;
      broker = startBroker(MOSQUITTO ?? '', port);
      await until('a reading after the broker came back', reads(44.5), 30_000);
      // What is secret is nowhere in what is kept.
      const kept = readdirSync(store, { recursive: true, withFileTypes: true }).filter((each) =>
        each.isFile(),
      );
      expect(kept.length).toBeGreaterThan(2);
      for (const { parentPath, name } of kept)
        expect(readFileSync(join(parentPath, name), 'latin1')).not.toContain('rye and caraway');
    } finally {
      sender.end(true);
      board.stdin?.write('stop\nstop\n');
      await until('the end', () => board.exitCode !== null, 15_000);
    }
    expect(board.lines()).not.toContain('rye and caraway');
  },
  90_000,
);
