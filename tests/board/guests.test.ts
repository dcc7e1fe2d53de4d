import { describe, expect, onTestFinished, test } from 'vitest';
import type { BenchState, Happening } from '../../src/bench/index.ts';
import { movedServiceLines } from '../../src/board/guests-words.ts';
import { movedAs } from '../../src/board/guests.ts';
import { press } from '../../src/board/keys.ts';
import type { Act } from '../../src/board/pressed.ts';
import { openSupposing } from '../../src/board/supposing.ts';
import { FRESH, promptWords, type Ui } from '../../src/board/ui.ts';
import { wordsAsk } from '../../src/board/words.ts';
import { directReplanner } from '../../src/keeper/index.ts';
import { replan } from '../../src/planner/index.ts';
import { epochMs } from '../../src/units/index.ts';
import { movedServiceView } from '../../src/view/index.ts';
import { TestRun } from '../support/bench.ts';
import { benchLink } from '../support/bench-link.ts';
import { drawBoard } from '../support/drawn.ts';
import { at, setupBy } from '../support/plans.ts';

/* The guests come earlier or later: what it would mean is shown first, and one press then moves service. */
const SETUP = setupBy(
  `
components:
  cream:
    steps:
      - cook: { takes: 10 min, hands: busy }
      - chill: { rest: 30 min - 3 h }
  finish:
    keeps: 30 min
    steps:
      - fill: { takes: 10 min, hands: busy, needs: [cream] }
`,
  '13:30',
  { 'cream.cook': '12:00-12:10', 'cream.chill': '12:10-13:10', 'finish.fill': '13:10-13:20' },
);
const NOW = at('12:15');
const alone = new TestRun(SETUP).space('12:00').clock('12:10').space('12:10').clock('12:15').state;

/** The same, as if a second plan were served at 14:00. */
const [plan] = SETUP.workload.plans;
if (!plan) throw new Error('no plan');
const together: BenchState = {
  ...alone,
  timetable: { ...alone.timetable, service: [at('13:30'), at('14:00')] },
  setup: {
    ...SETUP,
    workload: {
      ...SETUP.workload,
      plans: [
        { ...plan, title: 'Lake dinner' },
        { ...plan, title: 'Wood tea' },
      ],
    },
  },
};

function type(
  state: BenchState,
  keys: readonly string[],
): { readonly ui: Ui; readonly acts: readonly Act[] } {
  let ui = FRESH;
  const acts: Act[] = [];
  for (const [index, key] of keys.entries()) {
    const pressed = press(ui, key, { state, now: NOW, at: 10_000 + index * 1000, shownSince: 0 });
    ui = pressed.ui;
    acts.push(...pressed.acts);
  }
  return { ui, acts };
}
const sent = ({ acts }: ReturnType<typeof type>): readonly Happening[] =>
  acts.flatMap((act) => (act.kind === 'send' ? [act.happening] : []));

describe('by keys', () => {
  test.each([
    ['later by a figure', ['i', '5', ' '], [{ plan: 0, to: at('13:35') }]],
    ['ten by 0', ['i', '0', ' '], [{ plan: 0, to: at('13:40') }]],
    ['earlier', ['i', 'e', '5', ' '], [{ plan: 0, to: at('13:25') }]],
    ['the way chosen after the figure', ['i', '5', 'e', ' '], [{ plan: 0, to: at('13:25') }]],
    ['any length', ['i', 't', '2', '2', 'enter', ' '], [{ plan: 0, to: at('13:52') }]],
    ['a time of day', ['i', 't', '1', '4', '0', '5', 'enter', ' '], [{ plan: 0, to: at('14:05') }]],
  ])('%s', (_name, keys, [move]) => {
    expect(sent(type(alone, keys))).toEqual([{ kind: 'service moved', ...move }]);
  });

  test('nothing is moved before what it would mean was in sight', () => {
    expect(sent(type(alone, ['i', ' ', 'k']))).toEqual([]);
    expect(type(alone, ['i', '5']).acts).toEqual([
      { kind: 'suppose', moves: [{ plan: 0, to: at('13:35') }] },
    ]);
    expect(type(alone, ['i', '5', 'esc']).ui.prompt).toBeUndefined();
  });

  test('of several plans one is chosen, or all of them', () => {
    const { prompt } = type(together, ['i']).ui;
    expect(prompt && promptWords(prompt)).toBe(
      'whose guests?  1 Lake dinner 13:30   2 Wood tea 14:00   0 all   Esc no',
    );
    expect(sent(type(together, ['i', '2', '5', ' ']))).toEqual([
      { kind: 'service moved', plan: 1, to: at('14:05') },
    ]);
    expect(sent(type(together, ['i', '0', '5', ' ']))).toEqual([
      { kind: 'service moved', plan: 0, to: at('13:35'), also: [{ plan: 1, to: at('14:05') }] },
    ]);
  });
});

test.each([
  ['later', '20', '13:50'],
  ['earlier', '20', '13:10'],
  ['later', '1345', '13:45'],
  ['later', '12:50', '12:50'],
  ['later', '13:75', undefined],
  ['later', '0', undefined],
  ['later', '', undefined],
] as const)('%s %s is %s', (way, text, clock) => {
  expect(movedAs(alone, [0], way, text, NOW)?.[0]?.to).toBe(clock === undefined ? undefined : at(clock));
});

test('a time of day after midnight is the one nearest to service', () => {
  const late: BenchState = {
    ...alone,
    timetable: { ...alone.timetable, service: [epochMs(at('13:30') + 10.5 * 3_600_000)] },
  };
  expect(movedAs(late, [0], 'later', '00:30', NOW)?.[0]?.to).toBe(epochMs(at('00:30') + 24 * 3_600_000));
  expect(movedAs(late, [0], 'later', '23:45', NOW)?.[0]?.to).toBe(at('23:45'));
});

describe('by words', () => {
  test.each([
    ['guests 10', alone, [{ plan: 0, to: at('13:40') }]],
    ['guests 10 earlier', alone, [{ plan: 0, to: at('13:20') }]],
    ['guests at 13:45', alone, [{ plan: 0, to: at('13:45') }]],
    ['guests 10 wood', together, [{ plan: 1, to: at('14:10') }]],
    [
      'guests 10 later all',
      together,
      [
        { plan: 0, to: at('13:40') },
        { plan: 1, to: at('14:10') },
      ],
    ],
  ] as const)('%s', (line, state, moves) => {
    expect(wordsAsk(line, state, NOW)).toEqual({ kind: 'suppose', moves });
  });

  test('what is not clear is asked', () => {
    expect(wordsAsk('guests 10', together, NOW)).toEqual({
      kind: 'say',
      text: 'whose guests? Lake dinner 13:30, Wood tea 14:00, all',
    });
    expect(wordsAsk('guests soon', alone, NOW)).toEqual({
      kind: 'say',
      text: 'guests 10 (later), guests 10 earlier, guests 19:45; then guests yes',
    });
  });
});

test('of what would move no more is told than is read', () => {
  const lines = Array.from({ length: 20 }, (_, index) => ({ kind: 'moved' as const, text: `step ${index}` }));
  const told = movedServiceLines({ moves: [], headline: 'in time', tone: 'good', lines, hasTimetable: true });
  expect(told.slice(8)).toEqual([
    '  step 7',
    '  and 12 more',
    '  "guests yes" moves service, with that timetable; "guests keep" with the old one',
  ]);
});

/** What it would mean, as the real planner has it. */
async function meaning(to: string): Promise<ReturnType<typeof movedServiceView>> {
  const moves = [{ plan: 0, to: at(to) }];
  const supposing = openSupposing(() => directReplanner(SETUP.workload, replan));
  const answer = await supposing.ask(alone, NOW, moves);
  return movedServiceView(alone, NOW, moves, answer);
}

describe('what it would mean', () => {
  test('it can be done with a new timetable, and what moves', async () => {
    expect(await meaning('13:10')).toMatchObject({
      moves: ['service 13:10 instead of 13:30, 20 min earlier'],
      headline: expect.stringMatching(/^in time with a new timetable, /),
      lines: [{ kind: 'moved', text: expect.stringMatching(/^finish: fill: .* earlier$/) }],
      hasTimetable: true,
    });
  });

  test('it cannot: by how much', async () => {
    expect(await meaning('12:30')).toMatchObject({
      headline: 'not in time: 12:50 at the soonest, 20 min after 12:30',
      tone: 'bad',
    });
  });

  test('later: what is still to come is as much later', async () => {
    expect(await meaning('13:35')).toMatchObject({
      headline: 'in time with a new timetable, 45 min in hand',
      lines: [{ kind: 'moved', text: 'finish: fill: 13:15 instead of 13:10, 5 min later' }],
      hasTimetable: true,
    });
  });

  test('the timetable that is told does for it', async () => {
    expect(await meaning('13:25')).toMatchObject({
      headline: expect.stringMatching(/^the timetable you have does for it, /),
      hasTimetable: false,
    });
  });

  test('much later: a rest that may not go on for so long ends when it must', async () => {
    const { headline, lines } = await meaning('16:00');
    expect(headline).toMatch(/^in time with a new timetable, /);
    expect(lines.map(({ text }) => text)).toEqual(['finish: fill: 15:40 instead of 13:10, 150 min later']);
  });

  test('it is past', async () => {
    expect(await meaning('12:10')).toMatchObject({ headline: 'service cannot be moved to what is past' });
  });

  test('nobody has answered yet, or could', () => {
    const moves = [{ plan: 0, to: at('13:10') }];
    expect(movedServiceView(alone, NOW, moves, undefined).headline).toMatch(/^working out what it means/);
    expect(movedServiceView(alone, NOW, moves, { kind: 'failed' }).headline).toMatch(
      /^no timetable was found for it; as it goes now /,
    );
  });
});

test('on the board: asked, seen, moved with its timetable, and taken back with one press', async () => {
  const link = benchLink(SETUP, () => NOW, alone);
  const drawn = drawBoard(link, {
    columns: 80,
    rows: 24,
    replanner: (workload) => directReplanner(workload, replan),
  });
  onTestFinished(async () => void (await drawn.leave()));
  await drawn.until((text) => text.includes('serve 13:30'));
  drawn.type('i');
  await drawn.until((text) => text.includes('guests later by?'));
  drawn.type('e');
  drawn.type('t');
  drawn.type('20');
  drawn.type('\r');
  await drawn.until((text) => text.includes('in time with a new timetable'));
  expect(drawn.rows().join('\n')).toContain('service 13:10 instead of 13:30, 20 min earlier');
  drawn.type(' ');
  await drawn.until((text) => text.includes('serve 13:10'));
  expect(link.state.timetable.steps).not.toEqual(SETUP.timetable.steps);
  drawn.type('u');
  await drawn.until((text) => text.includes('serve 13:30'));
  expect(link.state.timetable).toEqual(SETUP.timetable);
});
