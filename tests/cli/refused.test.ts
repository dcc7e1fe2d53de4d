import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { refused } from '../../src/cli/refused.ts';
import { planTimetable, type PlanRequest } from '../../src/planner/index.ts';
import { thirdhand } from '../support/program.ts';
import { moment, step, workload } from '../support/workloads.ts';

const HOT = fileURLToPath(new URL('../demo-plans/refused/two-hot-ovenfuls.yaml', import.meta.url));
const KITCHEN = ['--kitchen', 'one-oven', '--serve', '2027-05-14 19:00'];
const CLASH =
  'puffs.bake wants the oven at 200 C for 12 min (line 15) and custards.bake wants the oven at 140 C for 30 min (line 21): one oven; they cannot be moved apart, because puffs keeps 4 min until plates.plate is over (line 10) and custards keeps 10 min until plates.plate is over (line 16)';
const WAYS = [
  'if custards may keep 30 min instead of 10 min (line 16)',
  'if puffs may keep 57 min instead of 4 min (line 10)',
  'with a second oven like the one there is',
  'with puffs made the day before, by Thu 20:00, if puffs may keep 23 h instead of 4 min (line 10)',
];

describe('a plan that cannot work', () => {
  test('sheet says why, then what would do', async () => {
    expect(await thirdhand(['sheet', HOT, ...KITCHEN])).toEqual({
      code: 1,
      out: '',
      err: [
        'thirdhand: there is no timetable for 2027-05-14 19:00 that keeps every rule',
        `- ${CLASH}`,
        'it would work with any one of these',
        ...WAYS.map((way) => `- ${way}`),
        '',
      ].join('\n'),
    });
  });

  test('programs get the same as data, with the run sheet of each way out', async () => {
    const { code, out } = await thirdhand(['sheet', HOT, ...KITCHEN, '--json']);
    expect(code).toBe(1);
    const told: unknown = JSON.parse(out);
    expect(told).toMatchObject({
      refused: 'there is no timetable for 2027-05-14 19:00 that keeps every rule',
      status: 'infeasible',
      reasons: [{ message: CLASH, steps: ['puffs.bake', 'custards.bake', 'plates.plate'] }],
      waysOut: WAYS.map((message) => ({ message, sheet: { plans: [{ name: 'two-hot-ovenfuls' }] } })),
    });
    expect(told).toMatchObject({
      waysOut: [
        { changes: [{ kind: 'keep longer', component: 'custards', by: 20 * 60 }], unit: 60 },
        { changes: [{ kind: 'keep longer', component: 'puffs', by: 53 * 60 }], unit: 60 },
        { changes: [{ kind: 'another oven', oven: 'oven 2', like: 'oven' }], unit: 1 },
        {
          changes: [
            {
              kind: 'make ahead',
              component: 'puffs',
              upTo: 'puffs.bake',
              by: '2027-05-13T20:00:00.000Z',
              limit: 23 * 3600,
            },
          ],
        },
      ],
    });
  });

  test('where nothing was found it is said so', () => {
    const cake = workload({
      kitchen: { ovens: [] },
      components: { cake: [step('bake', { takes: '20 min', oven: { at: '180 C' } })] },
    });
    expect(said(cake)).toEqual([
      'there is no timetable for 12:00 that keeps every rule',
      '- cake.bake (line 11) wants an oven, and the kitchen has none',
      'no change was found that makes it work: neither a later service, nor a longer hold, nor one more tool, shelf, oven or cook',
    ]);
  });

  test('a hostile name makes no line of its own and steers no terminal', () => {
    const evil = 'cream\nall is well\u001b[2J\u202e';
    const clash = workload({
      components: {
        [evil]: {
          keeps: '1 min',
          steps: [step('whip', { hands: 'busy', takes: '10 min', uses: ['mixer\u0007'] })],
        },
        meringue: { keeps: '1 min', steps: [step('torch', { hands: 'busy', takes: '10 min' })] },
      },
    });
    const lines = said(clash);
    expect(lines.length).toBeGreaterThan(4);
    for (const line of lines) expect(line).not.toMatch(/[\p{Cc}\p{Cf}]/u);
  });
});

/** What a refusal at noon says, head first. */
function said(plan: ReturnType<typeof workload>): string[] {
  const noon = moment('2027-05-14 12:00');
  const request: PlanRequest = { service: { kind: 'at', moments: [noon] } };
  const result = planTimetable(plan, request);
  if ('timetable' in result) throw new Error('there is a timetable');
  const stop = refused(plan, request, result, noon);
  return [stop.message, ...stop.detail];
}

describe('sheet --limits', () => {
  const TEA = ['sheet', 'terrace-tea', '--serve', '2027-05-14 19:00', '--limits'];

  test('the chain that fixes the beginning, and what a minute less would buy', async () => {
    const { code, out, err } = await thirdhand(TEA);
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out.split('\n').slice(0, 5)).toEqual([
      'Work begins at 14:53: nests.warm',
      '',
      'What fixes that',
      '  14:53 - 15:01  nests.warm',
      '      takes 8 min (line 20); nests.whisk follows (line 28)',
    ]);
    expect(out).toContain('takes 10 min 40 s (line 112); service is at 19:00, 25 min in hand\n');
    expect(out).toContain(
      'Work could begin 1 min later with any one of these\n  a minute less on nests.warm (line 20)\n',
    );
  });

  test('for programs as JSON', async () => {
    const { code, out } = await thirdhand([...TEA, '--json']);
    expect(code).toBe(0);
    const told: unknown = JSON.parse(out);
    expect(told).toMatchObject({
      begins: '2027-05-14T14:53:20.000Z',
      chain: expect.arrayContaining([expect.objectContaining({ step: 'plates.build', why: 'service' })]),
      gains: expect.arrayContaining([
        expect.objectContaining({ easing: { kind: 'shorter', step: 'nests.warm', by: 60 }, later: 60 }),
      ]),
    });
  });
});
