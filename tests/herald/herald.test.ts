import { chmodSync, readFileSync, writeFileSync } from 'node:fs';
import { delimiter, join } from 'node:path';
import { expect, test } from 'vitest';
import type { Effect, Priority } from '../../src/bench/index.ts';
import { createHerald, desktopNotify, tame, type Herald, type Notice } from '../../src/herald/index.ts';
import { tempFolder } from '../support/folder.ts';

const ring = (text: string, priority: Priority = 'medium'): Effect => ({
  kind: 'ring',
  key: text,
  nth: 1,
  priority,
  text,
});

interface Scene {
  readonly herald: Herald;
  readonly shown: string[];
  readonly said: string[];
  /** The notifier answers the oldest notice that waits. */
  readonly answer: (error?: Error) => void;
  /** The patience with the notice in flight ends. */
  readonly timeOut: () => void;
}

function scene(notify?: (notice: Notice) => void): Scene {
  const shown: string[] = [];
  const said: string[] = [];
  const open: ((error: Error | null) => void)[] = [];
  let patience: (() => void) | undefined;
  const herald = createHerald({
    title: 'Gallery opening',
    notify: (notice, done) => {
      shown.push(notice.message);
      open.push(done);
      notify?.(notice);
    },
    unavailable: (why) => said.push(why),
    schedule: (_afterMs, act) => {
      patience = act;
      return () => (patience = undefined);
    },
  });
  return {
    herald,
    shown,
    said,
    answer: (error) => open.shift()?.(error ?? null),
    timeOut: () => patience?.(),
  };
}

test('one notice at a time, the most urgent first', () => {
  const { herald, shown, answer } = scene();
  herald.perform([ring('a'), ring('b', 'low'), ring('c', 'high')]);
  expect(shown).toEqual(['c']);
  answer();
  answer();
  expect(shown).toEqual(['c', 'a', 'b']);
});

test('what is hushed before its turn is not shown', () => {
  const { herald, shown, answer } = scene();
  herald.perform([ring('a'), ring('b')]);
  herald.perform([{ kind: 'hush', key: 'b' }]);
  answer();
  expect(shown).toEqual(['a']);
});

test('a flood is cut to a few, the urgent ones kept', () => {
  const { herald, shown, answer } = scene();
  herald.perform([ring('first')]);
  herald.perform(Array.from({ length: 100 }, (_, n) => ring(`low ${n}`, 'low')));
  herald.perform([ring('urgent', 'high')]);
  for (let n = 0; n < 50; n++) answer();
  expect(shown).toHaveLength(9);
  expect(shown.slice(0, 2)).toEqual(['first', 'urgent']);
});

test('a notifier that hangs is given up, and its late answer counts for nothing', () => {
  const { herald, shown, said, answer, timeOut } = scene();
  herald.perform([ring('a'), ring('b'), ring('c')]);
  timeOut();
  expect(shown).toEqual(['a', 'b']);
  answer();
  expect(shown).toEqual(['a', 'b']);
  answer();
  expect([shown, said]).toEqual([['a', 'b', 'c'], ['the notifier does not answer']]);
});

test('that there is no notifier is said once, and soon nobody tries any more', () => {
  const { herald, shown, said, answer } = scene();
  herald.perform(Array.from({ length: 6 }, (_, n) => ring(`${n}`)));
  for (let n = 0; n < 6; n++) answer(new Error('not installed'));
  herald.perform([ring('later')]);
  expect([shown, said]).toEqual([['0', '1', '2'], ['not installed']]);
});

test('a notifier that throws harms nobody', () => {
  const { herald, shown, said } = scene(() => {
    throw new Error('no');
  });
  herald.perform([ring('a'), ring('b')]);
  expect([shown, said]).toEqual([['a', 'b'], ['no']]);
});

test('notifications can be switched off', () => {
  expect(desktopNotify({ THIRDHAND_NOTIFY: 'off' })).toBeUndefined();
  expect(desktopNotify({})).toBeDefined();
});

// Before the next: the library remembers for its life that there is none.
test('a notifier that shows every notice is used for as many as there are', async () => {
  const notify = desktopNotify({});
  if (process.platform !== 'linux' || notify === undefined) return;
  const folder = tempFolder();
  const program = join(folder, 'notify-send');
  writeFileSync(program, `#!/bin/sh\necho "$2" >> "${folder}/shown"\necho "a warning" >&2\n`);
  chmodSync(program, 0o700);
  const saved = process.env['PATH'];
  process.env['PATH'] = `${folder}${delimiter}${saved}`;
  const said: string[] = [];
  const texts = ['one', '$(two)', '`three`', '"; four "', "five'", 'six'];
  try {
    const { promise: all, resolve } = Promise.withResolvers<void>();
    let left = texts.length;
    const herald = createHerald({
      title: 'Gallery opening',
      notify: (notice, done) =>
        notify(notice, (error) => {
          done(error);
          left -= 1;
          if (left === 0) resolve();
        }),
      unavailable: (why) => said.push(why),
      schedule: () => () => undefined,
    });
    herald.perform(texts.map((text) => ring(text)));
    await all;
  } finally {
    process.env['PATH'] = saved;
  }
  expect(said).toEqual([]);
  expect(readFileSync(join(folder, 'shown'), 'utf8').trimEnd().split('\n')).toEqual(texts);
});

test('where there is no notifier, the desktop says so and does not throw', async () => {
  const saved = process.env['PATH'];
  const notify = desktopNotify({});
  if (process.platform !== 'linux' || notify === undefined) return;
  process.env['PATH'] = '/nowhere';
  try {
    const error = await new Promise((resolve) => notify({ title: 't', message: 'm' }, resolve));
    expect(error).toBeInstanceOf(Error);
  } finally {
    process.env['PATH'] = saved;
  }
});

test.each([
  ['shells: tray into the oven', 'shells: tray into the oven'],
  ['--icon=/etc/passwd', 'icon=/etc/passwd'],
  [' - - x', 'x'],
  ['a\u0000b\u001b[31mc\nd\u009b', 'a b [31mc d'],
  ['gn\u202eitsat', 'gnitsat'],
  ['\u0007', 'thirdhand'],
  ['', 'thirdhand'],
  ['180 \u00b0C \u2013 cr\u00e8me', '180 \u00b0C \u2013 cr\u00e8me'],
  ['x'.repeat(500), 'x'.repeat(200)],
  ['\u{1f95a}'.repeat(300), '\u{1f95a}'.repeat(200)],
])('a text is tamed: %j', (wild, tamed) => {
  expect(tame(wild)).toBe(tamed);
});
