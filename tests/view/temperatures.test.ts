import { describe, expect, test } from 'vitest';
import { plainLines, statusLines, viewOf, type BoardView } from '../../src/view/index.ts';
import { SCENES } from '../support/scenes.ts';
import { at, scene, type Scene } from '../support/states.ts';

const {
  'cooling-cream': cooling,
  'silent-probe': silent,
  'cooling-missed': missed,
  'set-aside': aside,
  quiet,
} = SCENES;
if (!cooling || !silent || !missed || !aside || !quiet) throw new Error('scenes are missing');

const seen = ({ state, projection, now }: Scene): BoardView =>
  viewOf(state, projection, now, { axisWidth: 60 });
const status = (of: Scene): string[] => statusLines({ state: of.state, now: of.now }, seen(of));

describe('probes', () => {
  test('what one reads, how old that is, and what it is in', () => {
    const [cream, air] = seen(cooling).heat.probes;
    expect(cream).toMatchObject({
      name: 'cream',
      inside: '',
      reads: '23.6 C',
      age: '20 s ago',
      watched: true,
    });
    expect(air).toMatchObject({ name: 'oven air', watched: false });
    expect(cream?.curve[0]).toEqual({ ago: 31 * 60 + 20, figure: 78 });
    expect(cream?.curve.at(-1)).toEqual({ ago: 20, figure: 23.6 });
  });

  test('one that was never read takes no row, and is known all the same', () => {
    const [cream] = seen(scene({ now: '18:40' })).heat.probes;
    expect(cream).toEqual({
      name: 'cream',
      inside: '',
      age: 'not read yet',
      scale: 'C',
      curve: [],
      watched: false,
    });
  });

  test.each([
    [{ live: true }, 'silent since 18:31'],
    // What only the cook reads may be silent.
    [{ live: false }, undefined],
    [{ live: false, fault: { kind: 'jumping', since: at('18:29') } }, 'jumps about since 18:29'],
    [
      { live: false, fault: { kind: 'out of range', since: at('18:29') } },
      'reads what cannot be since 18:29',
    ],
    [{ live: false, fault: { kind: 'frozen', since: at('18:29') } }, 'stands still at 33 C'],
  ] as const)('why one is not believed: %j', (track, words) => {
    const [probe] = silent.state.probes;
    if (!probe) throw new Error('no probe');
    const probes = [{ ...probe, track: { ...probe.track, ...track } }];
    expect(seen({ ...silent, state: { ...silent.state, probes } }).heat.probes[0]?.fault).toBe(words);
  });
});

describe('cooling clocks', () => {
  test('each limit that runs, how long there is, and by which rules', () => {
    expect(seen(cooling).heat.clocks).toEqual([
      {
        who: 'cream',
        probe: 'cream',
        state: 'runs',
        brief: '21 C by 20:09',
        text: '21 C by 20:09, 1 h 28 left',
      },
      {
        who: 'cream',
        probe: 'cream',
        state: 'runs',
        brief: '5 C by Sat 00:09',
        text: '5 C by Sat 00:09, 5 h 28 left',
      },
    ]);
    expect(seen(cooling).heat.rules).toBe(
      'cooling by US Food Code 3-501.14, United States; local codes and a trained person decide',
    );
    expect(status(cooling)).toContain('cooling cream: 21 C by 20:09, 1 h 28 left');
  });

  test('close when a tenth of the time is left', () => {
    const late = { ...cooling, now: at('19:58') };
    expect(seen(late).heat.clocks[0]).toMatchObject({ state: 'close', text: '21 C by 20:09, 11 min left' });
  });

  test('a missed limit stays in sight, with what the rule says, and is never called anything else', () => {
    const [first] = seen(missed).heat.clocks;
    expect(first).toMatchObject({ state: 'missed', text: '21 C by 18:30 missed, 10 min ago' });
    expect(first?.says).toMatch(/plan/);
    const all = [...seen(missed).heat.clocks, ...seen(cooling).heat.clocks];
    expect(JSON.stringify(all)).not.toMatch(/safe(?!ty)/i);
  });

  test('with no rules chosen there are readings and no clock', () => {
    const { kitchen, ...rest } = cooling.state.setup.workload;
    const { rules: _, ...bare } = kitchen;
    const setup = { ...cooling.state.setup, workload: { ...rest, kitchen: bare } };
    const { heat } = seen({ ...cooling, state: { ...cooling.state, setup } });
    expect(heat.clocks).toEqual([]);
    expect(heat.rules).toBe('no cooling rules chosen: what is read is shown, and held to nothing');
    expect(heat.probes[0]?.reads).toBe('23.6 C');
    expect(seen(silent).heat.rules).toBeUndefined();
  });

  test('a prediction stands beside it as a range', () => {
    expect(seen(cooling).heat.probes[0]?.ahead).toMatch(/^5 C in \d+-\d+ min$/);
  });
});

test('feeds: what became of their readings', () => {
  expect(seen(cooling).heat.feeds).toEqual([
    { name: 'mqtt', on: true, text: 'on, kitchen-broker: 1,204 used, 36 left out, they came too fast' },
    { name: 'port 9311', on: false, text: 'off, closed by the other side: 12 used, 3 refused' },
  ]);
});

describe('what the forecast sees', () => {
  const ahead = (chance: number | 'certain', soonest = '18:30', usual = '18:45') =>
    seen(
      scene({
        now: '18:24:30',
        more: {
          forecast: {
            of: at('18:24'),
            clashes: [
              {
                key: 'a',
                kind: 'hands',
                steps: [],
                why: 'two want both hands',
                chance,
                soonest: at(soonest),
                usual: at(usual),
              },
            ],
          },
        },
      }),
    ).ahead[0];
  test.each([
    ['certain', 'certain'],
    [0.7, 'in 7 of 10 cases'],
    // Neither certain nor impossible.
    [0.999, 'in 9 of 10 cases'],
    [0.01, 'in 1 of 10 cases'],
  ] as const)('%s', (chance, share) => {
    expect(ahead(chance)).toMatchObject({ share, why: 'two want both hands' });
  });
  test('when: in the middle of the cases, and at the soonest where that is much earlier', () => {
    expect(ahead(0.5)?.when).toBe('about 18:45, in 20 min, 18:30 at the soonest');
    expect(ahead(0.5, '18:44')?.when).toBe('about 18:45, in 20 min');
    expect(ahead(0.5, '18:20')?.when).toBe('about 18:45, in 20 min');
    expect(ahead(0.5, '18:20', '18:24')).toBeUndefined();
  });
});

test('quiet and till when stands in the first row, and is over by itself', () => {
  expect(seen(quiet).headline.quiet).toBe('quiet till 18:44');
  expect(seen({ ...quiet, now: at('18:44') }).headline.quiet).toBeUndefined();
});

test('the alarm that came first is marked, and what was set aside says till when and why', () => {
  expect(seen(aside).alarms[0]?.firstOut).toBe(true);
  expect(seen(aside).asides).toEqual([
    {
      kind: 'runs over',
      cause: 'cream: thicken was to take 13 min at most',
      state: 'set aside till 18:40, 16 min more',
      reason: 'it is being seen to',
    },
    { kind: 'not started', state: 'out of service since 17:50', reason: 'not wanted in this run' },
  ]);
});

describe('plain lines', () => {
  test('the status tells of probes, feeds, what is ahead and what is not shown', () => {
    expect(status(cooling)).toContain('probe oven air: 180 C 20 s ago');
    expect(status(cooling)).toContain('feed port 9311: off, closed by the other side: 12 used, 3 refused');
    expect(status(silent)).toContainEqual(
      expect.stringMatching(/^probe cream: 33 C 9 min ago, not believed: silent since 18:31/),
    );
    expect(status(quiet)).toContain('quiet till 18:44');
    expect(status(aside)).toEqual(
      expect.arrayContaining([
        'ahead, certain, about 18:45, in 20 min: bake low wants 180 C, dry wants it off',
        'runs over: set aside till 18:40, 16 min more: it is being seen to (cream: thicken was to take 13 min at most)',
      ]),
    );
  });

  test('an alarm that is set aside is not said to be over', () => {
    const [alarm] = aside.state.alarms;
    if (!alarm) throw new Error('no alarm');
    const { key, kind, cause, priority } = alarm;
    const before = { state: aside.state, now: aside.now };
    const lines = (more: Partial<Scene['state']>): string[] =>
      plainLines(before, { state: { ...aside.state, alarms: [], ...more }, now: aside.now });
    expect(lines({})).toEqual(['18:24:30 ALARM over: ready at 19:32 at the soonest, as it stands']);
    const set = { key, kind, cause, priority, until: at('18:40'), reason: 'seen to' };
    expect(lines({ shelved: [...aside.state.shelved, set] })).toEqual([
      '18:24:30 ALARM set aside till 18:40: ready at 19:32 at the soonest, as it stands (seen to)',
    ]);
    const out = { kind, since: at('18:24'), reason: 'one table' };
    expect(lines({ outOfService: [out] })).toEqual([
      '18:24:30 no alarm "late for service" in this run: one table',
      '18:24:30 alarm "not started" is in service again',
    ]);
  });

  test('quiet is told when it begins and when it is over', () => {
    const loud = { state: { ...quiet.state }, now: quiet.now };
    delete (loud.state as { quietUntil?: unknown }).quietUntil;
    const silent = { state: quiet.state, now: quiet.now };
    expect(plainLines(loud, silent)).toEqual(['18:24:30 quiet till 18:44']);
    expect(plainLines(silent, loud)).toEqual(['18:24:30 it sounds again']);
  });

  test('several ways out are told with the word that takes each', () => {
    const ways = SCENES['three-ways'];
    if (!ways) throw new Error('scenes are missing');
    const lines = status(ways);
    expect(lines).toContain('  way 2: serve 10 min later: service would be 19:40 instead of 19:30');
    expect(lines.at(-1)).toBe('  "take" takes it, "way 2" that way, "leave" keeps the old one');
  });
});
