import { describe, expect, test } from 'vitest';
import { describeTrigger, stepsById, usersOf, componentId, stepId } from '../../src/plan/index.ts';
import { loadText, planWith, stepsPlan, stepWith, told, workloadOf } from './support.ts';

describe('how long a step is', () => {
  test.each([
    ['takes: 12 min', { kind: 'takes', range: { low: 720, usual: 720, high: 720 } }],
    ['takes: 9-13 min', { kind: 'takes', range: { low: 540, usual: 660, high: 780 } }],
    ['takes: 9-13 min, usually: 10 min', { kind: 'takes', range: { low: 540, usual: 600, high: 780 } }],
    ['takes: 5-10 s', { kind: 'takes', range: { low: 5, usual: 8, high: 10 } }],
    ['takes: 0-5 min', { kind: 'takes', range: { low: 0, usual: 150, high: 300 } }],
    ['takes: 1.26 min', { kind: 'takes', range: { low: 76, usual: 76, high: 76 } }],
    ['each: 8 s', { kind: 'each', per: 8, pieces: 10, range: { low: 80, usual: 80, high: 80 } }],
    ['each: 0.55 s', { kind: 'each', per: 0.55, pieces: 10, range: { low: 6, usual: 6, high: 6 } }],
    ['rest: 3-20 h', { kind: 'rest', atLeast: 10_800, atMost: 72_000 }],
    ['rest: 45 min - 7 d', { kind: 'rest', atLeast: 2700, atMost: 604_800 }],
    ['rest: at least 3 h', { kind: 'rest', atLeast: 10_800 }],
    ['rest: at most 2 d', { kind: 'rest', atLeast: 0, atMost: 172_800 }],
  ])('%s', (attributes, length) => {
    expect(stepWith(attributes).length).toEqual(length);
  });
});

describe('what a step says', () => {
  test.each([
    ['takes: 1 min', { hands: 'free', after: 0, needs: [], uses: [], holds: [], action: 'stir' }],
    ['each: 1 s', { hands: 'busy' }],
    ['each: 1 s, hands: near', { hands: 'near' }],
    ['takes: 1 min, within: 2 min, after: 30 s', { within: 120, after: 30 }],
    ['takes: 1 min, within: 0 min', { within: 0 }],
    ['takes: 1 min, uses: hob', { uses: [{ item: 'hob', count: 1 }] }],
    [
      'takes: 1 min, uses: [hob, { item: tray, count: 2 }]',
      {
        uses: [
          { item: 'hob', count: 1 },
          { item: 'tray', count: 2 },
        ],
      },
    ],
    ['takes: 1 min, holds: { tray: last }', { holds: [{ item: 'tray', count: 1, until: 'cream.last' }] }],
    [
      'takes: 1 min, uses: [{ item: tray, count: 3 }], holds: { tray: cream.last }',
      { holds: [{ item: 'tray', count: 3, until: 'cream.last' }] },
    ],
    [
      'takes: 1 min, oven: { at: 428 F }',
      {
        oven: {
          heat: { kind: 'at', temperature: { figure: 428, scale: 'F', celsius: 220 } },
          door: 'usable',
          shelves: 1,
        },
      },
    ],
    [
      'takes: 1 min, oven: { off: true, door: ajar, shelves: 2, oven: deck }',
      { oven: { oven: 'deck', heat: { kind: 'off' }, door: 'ajar', shelves: 2 } },
    ],
    ['takes: 1 min, do: "pan off the heat, lid on"', { action: 'pan off the heat, lid on' }],
    ['takes: 1 min, caution: steam burns', { caution: 'steam burns' }],
    ['takes: 1 min, do: 1984, caution: true', { action: '1984', caution: 'true' }],
    ['takes: 20-30 min, oven: { at: 180 C }, turn: half-way', { turn: 750 }],
    ['takes: 20-30 min, usually: 21 min, oven: { at: 180 C, door: shut }, turn: Halfway', { turn: 630 }],
    ['takes: 20-30 min, oven: { at: 180 C }, turn: 8 min', { turn: 480 }],
    ['each: 60 s, oven: { at: 180 C }, turn: half-way', { turn: 300 }],
    ['rest: 20 min - 3 h, oven: { at: 40 C }, turn: half-way', { turn: 600 }],
    ['rest: 20-40 min, around: 0.5 C', { around: 0.5 }],
    ['rest: 20-40 min, around: 95 F', { around: 35 }],
    [
      'takes: 1 min, until: { probe: syrup, reaches: 118 C, sea level: true, for: 5 s }',
      {
        until: {
          kind: 'probe',
          probe: 'syrup',
          goal: { kind: 'reaches', to: { celsius: 118, figure: 118, scale: 'C' } },
          lasting: 5,
          fromBoiling: true,
        },
      },
    ],
    [
      'takes: 1 min, until: { probes: [cream, butter], between: 20-22 C, apart: 1.5 C }',
      {
        until: {
          kind: 'join',
          probes: ['cream', 'butter'],
          goal: {
            kind: 'between',
            low: { celsius: 20, figure: 20, scale: 'C' },
            high: { celsius: 22, figure: 22, scale: 'C' },
          },
          apart: 1.5,
          lasting: 10,
        },
      },
    ],
    ['takes: 1 min, until: { cue: thick }', { until: { kind: 'cue', text: 'thick' } }],
  ])('%s', (attributes, expected) => {
    expect(stepWith(attributes)).toMatchObject(expected);
  });

  test('what is not said is not there', () => {
    expect(Object.keys(stepWith('takes: 1 min')).toSorted()).toEqual([
      'action',
      'after',
      'component',
      'hands',
      'holds',
      'id',
      'length',
      'name',
      'needs',
      'place',
      'uses',
    ]);
  });

  test('a text may run over several lines', () => {
    const text = stepsPlan(
      'stir:\n          takes: 1 min\n          caution: >\n            hot sugar,\n            long sleeves',
    );
    expect(workloadOf(text).components[0]?.steps[1]?.caution).toBe('hot sugar, long sleeves');
  });

  test('a step knows its place', () => {
    expect(stepWith('takes: 1 min').place).toEqual({
      file: 'test.yaml',
      line: 9,
      column: 9,
      endLine: 9,
      endColumn: 13,
    });
  });
});

describe('what ends a step', () => {
  test.each([
    ['{ cue: a spoon leaves a clean track }', 'a spoon leaves a clean track'],
    ['{ probe: cream, falls to: 5 C }', 'cream down to 5 C'],
    ['{ probe: dough, reaches: 169 F, for: 20 s }', 'dough at 169 F for 20 s'],
    ['{ probe: glaze, between: 32-35 C, for: 0 s }', 'glaze between 32 C and 35 C'],
    [
      '{ all: [ { probe: dough, reaches: 76 C }, { cue: a skin on the pan floor } ] }',
      'dough at 76 C, and a skin on the pan floor',
    ],
    ['{ probe: syrup, reaches: 118 C, sea level: true }', 'syrup at 118 C (told for sea level)'],
    [
      '{ probes: [cream, butter], between: 20-22 C, for: 20 s }',
      'cream and butter both between 20 C and 22 C for 20 s',
    ],
    [
      '{ probes: [cream, butter, curd], falls to: 68 F, apart: 3.6 F }',
      'cream, butter and curd all down to 68 F, no more than 2 C apart',
    ],
    ['{ any: [ { cue: gold }, { all: [ { cue: firm }, { cue: dry } ] } ] }', 'gold, or (firm, and dry)'],
  ])('%s', (until, words) => {
    const trigger = stepWith(`takes: 1 min, until: ${until}`).until;
    expect(trigger && describeTrigger(trigger)).toBe(words);
  });

  test('any and all may be nested four deep', () => {
    const until = '{ any: [ { all: [ { any: [ { all: [ { cue: x } ] } ] } ] } ] }';
    expect(stepWith(`takes: 1 min, until: ${until}`).until).toBeDefined();
  });
});

describe('how a component cools', () => {
  test.each([
    ['probe: tray one, depth: 2.5 cm', { probe: 'tray one', depth: 25 }],
    ['cooling: ambient, depth: 2 in', { cooling: 'ambient', depth: 50.8 }],
    ['depth: 4 mm', { depth: 4 }],
  ])('%s', (words, expected) => {
    const text = planWith(`  cream: { ${words}, steps: [ { cook: { takes: 9 min } } ] }\n`);
    expect(workloadOf(text).components[0]).toMatchObject(expected);
  });

  test('says nothing of it where the plan does not', () => {
    const [cream] = workloadOf(planWith('  cream: { steps: [ { cook: { takes: 9 min } } ] }\n')).components;
    expect(Object.keys(cream ?? {})).not.toEqual(expect.arrayContaining(['probe']));
    expect(Object.keys(cream ?? {})).not.toEqual(expect.arrayContaining(['depth']));
  });
});

const LAYERED = planWith(`  cream:
    title: Bay cream
    keeps: 20 h
    cooling: cooked
    steps:
      - cook: { takes: 9 min }
      - chill: { rest: 3-20 h }
  shells:
    steps:
      - pipe: { each: 8 s, uses: tray, holds: { tray: finish.fill } }
      - bake: { takes: 30 min, uses: tray, needs: cream.cook }
  finish:
    steps:
      - fold: { takes: 3 min, needs: [cream] }
      - fill: { each: 12 s, needs: [shells, cream, shells] }
`);

describe('a workload', () => {
  const workload = workloadOf(LAYERED);

  test('has components in the order of the file', () => {
    expect(
      workload.components.map(({ id, title, keeps, cooling }) => ({ id, title, keeps, cooling })),
    ).toEqual([
      { id: 'cream', title: 'Bay cream', keeps: 72_000, cooling: 'cooked' },
      { id: 'shells', title: 'shells', keeps: undefined, cooling: undefined },
      { id: 'finish', title: 'finish', keeps: undefined, cooling: undefined },
    ]);
  });

  test('needs a component as its last step, each once', () => {
    const steps = stepsById(workload);
    expect(steps.get(stepId(componentId('finish'), 'fill'))?.needs).toEqual(['shells.bake', 'cream.chill']);
    expect(steps.get(stepId(componentId('shells'), 'bake'))?.needs).toEqual(['cream.cook']);
  });

  test('holds across components', () => {
    expect(stepsById(workload).get(stepId(componentId('shells'), 'pipe'))?.holds).toEqual([
      { item: 'tray', count: 1, until: 'finish.fill' },
    ]);
  });

  test('users of a component need its last step', () => {
    expect(usersOf(workload, componentId('cream'))).toEqual(['finish.fold', 'finish.fill']);
    expect(usersOf(workload, componentId('finish'))).toEqual([]);
    expect(usersOf(workload, componentId('nothing'))).toEqual([]);
  });

  test('is plain data', () => {
    expect(JSON.parse(JSON.stringify(workload))).toEqual(workload);
  });

  test('names that objects have of themselves are names like others', () => {
    const text = planWith(
      '  constructor: { steps: [ { toString: { takes: 1 min } }, { valueOf: { takes: 1 min } } ] }\n',
    );
    expect([...stepsById(workloadOf(text)).keys()]).toEqual(['constructor.toString', 'constructor.valueOf']);
  });
});

describe('the head of a plan', () => {
  const head = (lines: string) =>
    workloadOf(planWith('  a: { steps: [ { b: { takes: 1 min } } ] }\n', lines)).plans[0];

  test('defaults', () => {
    expect(head('')).toEqual({
      name: 'test',
      file: 'test.yaml',
      title: 'Test bake',
      makes: { count: 10, of: 'buns' },
      margin: 600,
      components: ['a'],
    });
  });

  test.each([
    ['serve: 19:30\n', { serve: { hour: 19, minute: 30 } }],
    ['serve: 2027-03-28 07:30\n', { serve: { hour: 7, minute: 30, date: '2027-03-28' } }],
    ['margin: 0 min\n', { margin: 0 }],
  ])('%j', (lines, expected) => {
    expect(head(lines)).toMatchObject(expected);
  });
});

describe('how long a component must keep', () => {
  const keeps = (length: string, margin: string) =>
    loadText(
      planWith(
        `  cream: { keeps: ${length}, steps: [ { cook: { takes: 9 min } } ] }
  finish:
    steps:
      - whip: { takes: 4-6 min, needs: cream }
      - rest: { rest: 5-60 min, after: 1 min }
      - fill: { each: 12 s, needs: cream }
`,
        `margin: ${margin}\n`,
      ),
    ).diagnostics.map(told);

  test('as long as its last use ends later at the least: 4 min, 1 min, 5 min, 2 min', () => {
    expect(keeps('12 min', '0 min')).toEqual([]);
    expect(keeps('719 s', '0 min')).toEqual(['keeps-too-short 7:19']);
  });

  test('the margin counts only for what is served itself', () => {
    expect(keeps('12 min', '30 min')).toEqual([]);
  });
});
