import { PassThrough } from 'node:stream';
import { describe, expect, test } from 'vitest';
import { runPlain, type BoardEnd } from '../../src/board/index.ts';
import { wordsAsk } from '../../src/board/words.ts';
import type { BenchState, Happening } from '../../src/bench/index.ts';
import { epochMs, plus } from '../../src/units/index.ts';
import { clean } from '../../src/view/index.ts';
import { benchLink } from '../support/bench-link.ts';
import { SCENES } from '../support/scenes.ts';
import { at, scene, SHELLS, TIMETABLE, WORKLOAD } from '../support/states.ts';

const due = SCENES['call-due'];
const clash = SCENES['oven-clash'];
if (!due || !clash) throw new Error('scenes are missing');

const ask = (line: string, on = due): readonly Happening[] | string => {
  const asked = wordsAsk(line, on.state, on.now);
  return asked.kind === 'send' ? asked.happenings : asked.kind === 'say' ? asked.text : asked.kind;
};

describe('words', () => {
  test.each<[string, Happening]>([
    ['done', { kind: 'start', step: 'shells.bake high' as never, at: due.now }],
    ['OK', { kind: 'start', step: 'shells.bake high' as never, at: due.now }],
    ['done cream', { kind: 'done', step: 'cream.thicken' as never, at: due.now }],
    ['back 4', { kind: 'start', step: 'shells.bake high' as never, at: plus(due.now, -240) }],
    ['back 4 cream', { kind: 'done', step: 'cream.thicken' as never, at: plus(due.now, -240) }],
    ['more 3', { kind: 'more', step: 'cream.thicken' as never, length: 180 as never }],
    ['more 2.5 cr', { kind: 'more', step: 'cream.thicken' as never, length: 150 as never }],
    ['undo', { kind: 'undo' }],
    ['timer 5 tea', { kind: 'timer', name: 'tea', length: 300 as never }],
    ['skip shells', { kind: 'skip', step: 'shells.bake high' as never }],
    ['lost shells', { kind: 'lost', component: SHELLS.id }],
    ['door open', { kind: 'door', oven: 'oven', door: 'open' }],
    ['heard', { kind: 'heard', key: 'shells: trays into the oven, middle shelf' }],
  ])('%s', (line, happening) => {
    expect(ask(line)).toEqual([happening]);
  });

  test('a reading', () => {
    for (const line of ['reading cream 12.5 C', 'reading 12.5C', 'READING cream 12.5 °c'])
      expect(ask(line)).toMatchObject([
        { kind: 'reading', probe: 'cream', temperature: { figure: 12.5, scale: 'C' } },
      ]);
    expect(ask('reading roux 12 C')).toBe("the plan's probes are cream");
    expect(ask('reading cream 9000 C')).toContain('is no temperature of a kitchen');
  });

  test('ok hears an alarm that stands above; done does not', () => {
    expect(ask('ok', clash)).toEqual([{ kind: 'heard', key: 'oven clash shells' }]);
    expect(ask('done', clash)).toMatchObject([{ kind: 'done', step: 'shells.bake low' }]);
  });

  test.each([
    ['back', 'back wants minutes: back 4'],
    ['back -3', 'back wants minutes: back 4'],
    ['back 4 finish', 'nothing of finish runs'],
    ['more x', 'more wants minutes: more 3'],
    ['timer', 'timer wants minutes, and a name if you like: timer 5 tea'],
    ['skip pie', 'which component? cream, shells, finish'],
    ['door sideways', 'a door is open, shut or ajar: door open'],
    ['set', 'no oven is waiting to be set'],
    ['flambé', '"flambé" is no word this knows; help lists them'],
  ])('%s is answered with what would be right', (line, words) => {
    expect(ask(line)).toBe(words);
  });
});

/** Plain lines of the evening's run from its beginning, time and stdin in the test's hands. */
function follow(from?: BenchState) {
  let now = at('17:49');
  const setup = { run: 'r', workload: WORKLOAD, timetable: TIMETABLE, begunAt: now };
  const link = benchLink(setup, () => now, from);
  const stdin = new PassThrough();
  const stdout = new PassThrough();
  let text = '';
  stdout.setEncoding('utf8').on('data', (chunk: string) => (text += chunk));
  let told: BoardEnd | undefined;
  const end = runPlain(link, { stdin, stdout }).then((how) => (told = how));
  return {
    link,
    stdin,
    stdout,
    end,
    text: () => text,
    told: () => told,
    say: async (line: string) => {
      stdin.write(`${line}\n`);
      await turns();
    },
    pass: async (minutes: number) => {
      now = epochMs(now + minutes * 60_000);
      link.tick();
      await turns();
    },
  };
}

const turns = async (): Promise<void> => {
  for (let turn = 0; turn < 5; turn += 1) await new Promise((resolve) => setImmediate(resolve));
};

describe('plain lines', () => {
  test('how it stands, then a line for each thing, and answers as words', async () => {
    const screen = follow();
    expect(screen.text()).toContain('17:49:00 Gallery opening: serve 19:30');
    await screen.pass(1);
    expect(screen.text()).toMatch(/17:50:00 CALL cream: warm the milk/);
    await screen.say('done');
    expect(screen.text()).toContain('done: cream: warm the milk');
    expect(screen.link.pressed).toEqual([{ kind: 'start', step: 'cream.warm', at: at('17:50') }]);
    await screen.say('help');
    expect(screen.text()).toContain('quit            stop following, the run goes on; stop: end the run');
    expect(clean(screen.text())).toBe(screen.text().replaceAll('\n', ' ').replace(/\s+/g, ' ').trim());
    // Nothing is drawn over anything, and no sign is one a screen reader would spell out.
    expect(screen.text()).not.toMatch(/[\u2500-\u25FF]/);
    await screen.say('quit');
    expect(await screen.end).toEqual({ kind: 'left' });
  });

  test('the end of stdin ends nothing', async () => {
    const screen = follow();
    screen.stdin.end();
    await turns();
    await screen.pass(1);
    expect(screen.text()).toContain('CALL cream: warm the milk');
    expect(screen.told()).toBeUndefined();
    screen.link.tell({ kind: 'ended', reason: 'stopped' });
    expect(await screen.end).toEqual({ kind: 'stopped' });
  });

  test('stop must be said twice in a row', async () => {
    const screen = follow();
    await screen.say('stop');
    await screen.say('help');
    await screen.say('stop');
    expect(screen.told()).toBeUndefined();
    expect(screen.text()).toContain('type stop once more');
    await screen.say('stop');
    expect(await screen.end).toEqual({ kind: 'stopped' });
  });

  test('a press that is refused says why', async () => {
    const screen = follow();
    await screen.say('undo');
    expect(screen.text()).toContain('not done: there is nothing to take back');
    await screen.say('quit');
    await screen.end;
  });

  test('the keeper goes silent and comes back', async () => {
    const screen = follow();
    screen.link.tell({ kind: 'lost', detail: 'socket' });
    screen.link.tell({ kind: 'back' });
    await turns();
    expect(screen.text()).toContain(
      "the run's keeper is not answering: times go on from what is known\nthe run's keeper answers again\n",
    );
    await screen.say('quit');
    await screen.end;
  });

  test('it ends at service with what was served and when', async () => {
    const served = { ...scene({ now: '19:31' }).state, servedAt: at('19:30:30') };
    const screen = follow(served);
    screen.link.tell({ kind: 'ended', reason: 'served' });
    expect(await screen.end).toEqual({ kind: 'served' });
    expect(screen.text()).toContain('19:30:30 served: Gallery opening, 40 buns, on time for 19:30\n');
  });

  test('whoever read the lines is gone: the run goes on', async () => {
    const screen = follow();
    screen.stdout.destroy(new Error('EPIPE'));
    expect(await screen.end).toEqual({ kind: 'left' });
  });
});
