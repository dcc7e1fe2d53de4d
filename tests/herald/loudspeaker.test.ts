import { chmodSync, existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { Effect, Priority } from '../../src/bench/index.ts';
import { loudspeaker, runSound, soundCommand, type Noise, type Noises } from '../../src/herald/index.ts';
import { tempFolder } from '../support/folder.ts';
import { until } from '../support/until.ts';

const ring = (key: string, priority: Priority): Effect => ({
  kind: 'ring',
  key,
  nth: 1,
  priority,
  text: key,
});
const hush = (key: string): Effect => ({ kind: 'hush', key });

describe('the setting', () => {
  test.each([
    [undefined, { kind: 'none' }],
    ['  ', { kind: 'none' }],
    ['play -q bell.wav', { kind: 'command', command: { program: 'play', args: ['-q', 'bell.wav'] } }],
    ['["play","my bell.wav"]', { kind: 'command', command: { program: 'play', args: ['my bell.wav'] } }],
    // Nothing in it is for a shell.
    [
      'play "a b"; rm $HOME',
      { kind: 'command', command: { program: 'play', args: ['"a', 'b";', 'rm', '$HOME'] } },
    ],
  ])('%j', (setting, expected) => {
    expect(soundCommand(setting)).toEqual(expected);
  });

  test.each(['["play"', '["play", 3]', '[]', '[" "]', `play${' x'.repeat(40)}`, 'play a\0b'])(
    'is wrong: %j',
    (setting) => {
      const wrong = soundCommand(setting);
      expect(wrong.kind === 'wrong' ? wrong.why : '').toContain('THIRDHAND_SOUND');
    },
  );
});

interface Scene {
  readonly noises: Noises;
  /** What was played so far: `high a`; a noise that was broken off: `ended a`. */
  readonly played: string[];
  readonly said: string[];
  /** The program that runs ends, well or with this error. */
  readonly finish: (error?: Error) => void;
  readonly advance: (ms: number) => void;
}

/** A loudspeaker on a clock of the test, with a program that ends when it is told to. */
function scene(throws = false): Scene {
  const played: string[] = [];
  const said: string[] = [];
  let now = 0;
  let due: { at: number; act: () => void }[] = [];
  let finish: (error: Error | undefined) => void = () => undefined;
  const run = (noise: Noise, done: (error: Error | undefined) => void): (() => void) => {
    played.push(`${noise.priority} ${noise.text}`);
    if (throws) throw new Error('no more processes');
    finish = done;
    return () => void played.push(`ended ${noise.text}`);
  };
  const noises = loudspeaker({
    run,
    unavailable: (why) => said.push(why),
    schedule: (afterMs, act) => {
      const entry = { at: now + afterMs, act };
      due.push(entry);
      return () => (due = due.filter((other) => other !== entry));
    },
  });
  return {
    noises,
    played,
    said,
    finish: (error) => finish(error),
    advance(ms) {
      now += ms;
      for (;;) {
        const next = due.find(({ at }) => at <= now);
        if (next === undefined) return;
        due = due.filter((entry) => entry !== next);
        next.act();
      }
    },
  };
}

describe('the loudspeaker', () => {
  test('plays one noise at a time, the most urgent next, with a silence between', () => {
    const { noises, played, finish, advance } = scene();
    noises.take([ring('a', 'low')]);
    noises.take([ring('b', 'medium'), ring('c', 'high'), ring('d', 'high')]);
    advance(5000);
    expect(played).toEqual(['low a']);
    finish();
    advance(999);
    expect(played).toEqual(['low a']);
    advance(1);
    expect(played).toEqual(['low a', 'high c']);
    finish();
    advance(1000);
    expect(played).toEqual(['low a', 'high c', 'medium b']);
  });

  test('ends the program once what it plays for is hushed', () => {
    const { noises, played, finish, advance } = scene();
    noises.take([ring('a', 'high'), ring('b', 'high'), ring('c', 'low')]);
    noises.take([hush('a')]);
    expect(played).toEqual(['high a']);
    noises.take([hush('b')]);
    expect(played).toEqual(['high a', 'ended a', 'low c']);
    finish();
    advance(1000);
    noises.stop();
    advance(20_000);
    expect(played).toEqual(['high a', 'ended a', 'low c']);
  });

  test('a program that does not end is ended, and the next noise comes', () => {
    const { noises, played, said, advance } = scene();
    noises.take([ring('a', 'high')]);
    noises.take([ring('b', 'low')]);
    advance(10_000);
    advance(1000);
    expect(played).toEqual(['high a', 'ended a', 'low b']);
    expect(said).toEqual(['the command for sounds had not ended after 10 s']);
  });

  test('a failure is said once, and after three in a row it is left be', () => {
    const { noises, played, said, finish, advance } = scene();
    const fail = (key: string, error?: Error): void => {
      noises.take([ring(key, 'low')]);
      finish(error);
      advance(1000);
    };
    const broken = new Error('no card');
    fail('a', broken);
    fail('b', broken);
    fail('c');
    for (const key of ['d', 'e', 'f', 'g']) fail(key, broken);
    expect(played).toEqual(['low a', 'low b', 'low c', 'low d', 'low e', 'low f']);
    expect(said).toEqual(['no card']);
  });

  test('a program that cannot even be begun is a failure too', () => {
    const { noises, said, advance } = scene(true);
    noises.take([ring('a', 'low')]);
    advance(1000);
    expect(said).toEqual(['no more processes']);
  });
});

describe('a real program', () => {
  /** Runs a script of Node as the command and answers what went wrong. */
  const play = (program: string, args: readonly string[], text: string): Promise<Error | undefined> =>
    new Promise((done) => runSound({ program, args })({ priority: 'medium', text }, done));

  test('gets the priority and harmless words as arguments of their own, and no shell', async () => {
    const out = join(tempFolder(), 'got.json');
    const script = `require('node:fs').writeFileSync(${JSON.stringify(out)}, JSON.stringify(process.argv.slice(1)))`;
    const error = await play(process.execPath, ['-e', script], '--eval\u001B[2J $(touch x); "cream"\n| now');
    expect(error).toBeUndefined();
    expect(JSON.parse(readFileSync(out, 'utf8'))).toEqual(['medium', 'eval [2J $(touch x); "cream" | now']);
  });

  test('that is not there, may not be run, or fails says so', async () => {
    expect((await play('/nowhere/a-bell', [], 'x'))?.message).toBe('there is no program /nowhere/a-bell');
    const file = join(tempFolder(), 'bell');
    writeFileSync(file, '');
    chmodSync(file, 0o644);
    expect((await play(file, [], 'x'))?.message).toBe(`${file} may not be run`);
    const failed = await play(process.execPath, ['-e', 'process.exit(3)'], 'x');
    expect(failed?.message).toBe(`${process.execPath} ended with 3`);
  });

  test('is ended when its noise is', async () => {
    const folder = tempFolder();
    const began = join(folder, 'began');
    const script = `require('node:fs').writeFileSync(${JSON.stringify(began)}, ''); setInterval(() => {}, 1000)`;
    let told: Error | undefined;
    const end = runSound({ program: process.execPath, args: ['-e', script] })(
      { priority: 'low', text: 'x' },
      (error) => (told = error),
    );
    await until('the program runs', () => existsSync(began));
    end();
    await until('the program is ended', () => told !== undefined);
    expect(told?.message).toContain(process.execPath);
  });
});
