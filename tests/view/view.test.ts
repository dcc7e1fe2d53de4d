import { describe, expect, test } from 'vitest';
import { viewOf, type BoardView, type BoardViewOptions } from '../../src/view/index.ts';
import { SCENES } from '../support/scenes.ts';
import {
  at,
  call,
  CREAM,
  ended,
  FINISH,
  named,
  ran,
  running,
  scene,
  SHELLS,
  type Scene,
} from '../support/states.ts';

const seen = ({ state, projection, now }: Scene, options: Partial<BoardViewOptions> = {}): BoardView =>
  viewOf(state, projection, now, { axisWidth: 60, ...options });

const sceneOf = (name: string): Scene => {
  const found = SCENES[name];
  if (!found) throw new Error(`no scene ${name}`);
  return found;
};

describe('the margin in words', () => {
  test.each([
    [3725, '1 h 02 in hand', 'good'],
    [779, '12 min in hand', 'good'],
    [299, '4 min in hand', 'care'],
    [59, 'on the minute', 'care'],
    [-59, 'on the minute', 'care'],
    // Never less late than it is.
    [-61, '2 min late', 'bad'],
    [-420, '7 min late', 'bad'],
  ])('%d s', (margin, words, tone) => {
    expect(seen(scene({ now: '18:00', margin })).headline).toMatchObject({ margin: words, tone });
  });

  test('the day is named where service is not today', () => {
    const early = scene({ now: '18:00' });
    const eve = { ...early, now: at('18:00') };
    const state = {
      ...eve.state,
      timetable: { ...eve.state.timetable, service: [(at('07:30') + 86_400_000) as never] },
    };
    expect(seen({ ...eve, state }).headline.service).toBe('serve Sat 07:30');
  });
});

describe('NOW', () => {
  test('a due call: whose, what, since when, what breaks, and what the key says', () => {
    expect(seen(sceneOf('call-due')).now).toMatchObject({
      kind: 'call',
      who: 'shells',
      what: 'trays into the oven, middle shelf',
      shorter: ['trays into the oven, middle shelf', 'trays into the oven', 'bake high'],
      figures: '0:40',
      meaning: 'since due',
      stakes: 'by 18:24, 7 min 50 s left: a skin forms and the shells split',
      caution: 'steam burns',
      press: 'started',
      unheard: true,
      others: [],
    });
  });

  test('a high alarm nobody has heard stands above a due call, which is not forgotten', () => {
    const both = scene({
      now: '18:33:20',
      calls: sceneOf('call-due').state.calls.slice(0, 1),
      alarms: sceneOf('oven-clash').state.alarms,
    });
    expect(seen(both).now).toMatchObject({
      kind: 'alarm',
      who: 'oven clash',
      press: 'heard',
      others: [{ text: 'shells: trays into the oven, middle shelf', component: SHELLS.id }],
    });
  });

  test('heard or not high, an alarm leaves the call its place', () => {
    const alarms = sceneOf('oven-clash').state.alarms.map((alarm) => ({ ...alarm, state: 'heard' as const }));
    expect(seen(scene({ now: '18:33:20', calls: sceneOf('call-due').state.calls, alarms })).now.kind).toBe(
      'call',
    );
  });

  test('what is open but not due is shown as something that runs', () => {
    expect(seen(sceneOf('call-due')).next[0]).toMatchObject({ clock: '18:18', who: 'cream' });
    const open = scene({ now: '18:10', calls: sceneOf('call-due').state.calls.slice(1) });
    expect(seen(open).now).toMatchObject({
      kind: 'open',
      unheard: false,
      figures: '8:00',
      meaning: 'to go, as usual',
      press: 'done already',
    });
    // A step that runs must not read like an order to begin it.
    expect(seen(open).now.shorter).toEqual(['thicken done?', 'done?']);
  });

  test('nothing to do: how long the hands are free', () => {
    expect(seen(sceneOf('two-running')).now).toMatchObject({
      kind: 'nothing',
      what: 'hands free',
      figures: '7:30',
    });
    expect(seen(sceneOf('two-running')).hands).toBe('hands free for 7 min 30 s');
  });

  test('while something is called the hands are not free for so long', () => {
    const free = sceneOf('two-running').state;
    const [call] = sceneOf('call-due').state.calls;
    expect(
      seen(scene({ now: '18:33:20', components: free.components, calls: call ? [call] : [] })).hands,
    ).toBe('hands free');
  });

  test('while the hands are on something: what, and how one sees that it is done', () => {
    const components = [ran(CREAM, ended('17:50', '17:56'), running('17:56')), ran(SHELLS), ran(FINISH)];
    expect(seen(scene({ now: '17:57', components })).now).toMatchObject({
      kind: 'nothing',
      what: 'hands on cream: thicken',
      shorter: ['hands on cream: thicken', 'hands on cream', 'hands on'],
      stakes: 'thicken: until a spoon leaves a clean track',
    });
  });

  test('past the latest moment', () => {
    expect(seen(sceneOf('after-gap')).now.stakes).toBe(
      '5 min 5 s past the latest moment: steam softens the shells',
    );
  });

  test('served', () => {
    const over = scene({ now: '19:40', more: { servedAt: at('19:31') } });
    expect(seen(over).now).toMatchObject({ kind: 'served', what: 'Served at 19:31' });
    expect(seen(over).headline.margin).toBe('served 19:31');
    expect(seen(over).next).toEqual([]);
  });
});

describe('what comes next', () => {
  test('a knob that is turned as a step begins is one thing with it', () => {
    const next = (name: string) => seen(sceneOf(name)).next.map(({ clock, who, what }) => [clock, who, what]);
    expect(next('two-running').slice(0, 3)).toEqual([
      // The step's own words name the heat.
      ['18:28', 'shells', 'turn down to 180 C, door shut'],
      ['18:42', 'shells', 'pierce every shell'],
      ['18:45', 'shells', 'back in, oven off, door ajar'],
    ]);
    expect(next('before-start').slice(0, 2)).toEqual([
      ['17:50', 'cream', 'warm the milk'],
      // Well before the step it is for: a thing of its own.
      ['17:55', 'oven', 'set to 220 C'],
    ]);
  });

  test('an oven that stands as it should needs no turn of its knob', () => {
    const [oven] = sceneOf('two-running').state.ovens;
    const ahead = scene({ now: '17:46:10', ovens: oven ? [oven] : [] });
    expect(seen(ahead).next.map(({ what }) => what)).not.toContain('set to 220 C');
    expect(seen(ahead).next.map(({ what }) => what)).toContain('turn down to 180 C, door shut');
  });
});

describe('lanes', () => {
  const lane = (words: Parameters<typeof scene>[0], index: number) => {
    const {
      number: _,
      component: __,
      segments: ___,
      name: ____,
      attempt: _____,
      at: ______,
      soon: _______,
      ...rest
    } = seen(scene(words)).lanes[index] ?? never();
    return rest;
  };
  const never = (): never => {
    throw new Error('no such lane');
  };

  test('ended by the clock: what is left', () => {
    const shells = ran(SHELLS, ended('18:10', '18:15'), running('18:16'));
    expect(lane({ now: '18:20:30', components: [ran(CREAM), shells, ran(FINISH)] }, 1)).toEqual({
      mark: '▶',
      word: 'runs',
      step: 'bake high',
      lead: 'left',
      figures: '7:30',
      meaning: 'to 18:28',
      brief: 'to 18:28',
      tone: 'plain',
    });
  });

  test('ended by a person: how long it has been, against its range, and over it', () => {
    const cream = ran(CREAM, ended('17:50', '17:56'), running('17:56'));
    const components = [cream, ran(SHELLS), ran(FINISH)];
    expect(lane({ now: '18:01', components }, 0)).toMatchObject({
      lead: 'for',
      figures: '5:00',
      meaning: 'of 9-13 min',
    });
    expect(lane({ now: '18:10', components }, 0)).toMatchObject({
      lead: 'over',
      figures: '1:00',
      meaning: 'past 13 min',
      tone: 'care',
    });
  });

  test('a rest: until it is long enough, then how long it may be left', () => {
    const cream = ran(CREAM, ended('17:50', '17:56'), ended('17:56', '18:06'), running('18:07'));
    const components = [cream, ran(SHELLS), ran(FINISH)];
    expect(lane({ now: '18:20', components }, 0)).toMatchObject({
      lead: 'left',
      figures: '17:00',
      meaning: 'to 18:37',
    });
    expect(lane({ now: '18:40', components }, 0)).toMatchObject({
      figures: 'ready',
      meaning: 'till Sat 04:07',
    });
  });

  test('out since: what may wait only so long has a clock of its own, and goes below nothing', () => {
    const shells = ran(SHELLS, ended('18:10', '18:15'));
    const components = [ran(CREAM), shells, ran(FINISH)];
    expect(lane({ now: '18:18', components }, 1)).toMatchObject({
      mark: '◆',
      word: 'out',
      lead: 'out',
      figures: '7:00',
      meaning: 'left, out 18:15',
      tone: 'plain',
    });
    expect(lane({ now: '18:23', components }, 1)).toMatchObject({ figures: '2:00', tone: 'care' });
    expect(lane({ now: '18:26', components }, 1)).toMatchObject({
      lead: 'over',
      figures: '1:00',
      meaning: 'too long',
      tone: 'bad',
    });
  });

  test('what is finished keeps so long, until it is used', () => {
    const finish = ran(FINISH, ended('19:05', '19:10'), ended('19:10', '19:18'));
    const components = [ran(CREAM), ran(SHELLS), finish];
    expect(lane({ now: '19:20', components }, 2)).toMatchObject({
      word: 'done',
      lead: 'keep',
      figures: '1 h 28',
      meaning: 'left, done 19:18',
    });
  });

  test.each([
    ['17:45', { lead: 'in', figures: '5:00', meaning: 'at 17:50' }],
    ['17:20', { lead: 'in', figures: '30 min', meaning: 'at 17:50' }],
    ['12:20', { lead: 'in', figures: '5 h 30', meaning: 'at 17:50' }],
  ])('what waits says at %s in how long, and at what time of day', (now, figures) => {
    expect(lane({ now }, 0)).toMatchObject(figures);
  });

  test('what lasts for hours stays within its column, and is not counted to the second', () => {
    const cream = ran(CREAM, ended('05:50', '05:56'), ended('05:56', '06:06'), running('06:07'));
    const components = [cream, ran(SHELLS), ran(FINISH)];
    const { length } = CREAM.steps[2] ?? never();
    expect(length).toEqual({ kind: 'rest', atLeast: 1800, atMost: 36_000 });
    expect(lane({ now: '06:08', components, more: {} }, 0).figures).toBe('29:00');
    const shells = ran(SHELLS, ended('05:10', '05:15'), running('05:16'));
    expect(lane({ now: '18:20', components: [ran(CREAM), shells, ran(FINISH)] }, 1).figures).toBe('12 h 52');
  });

  test('no figures and no brief meaning are wider than their columns', () => {
    for (const each of Object.values(SCENES).flatMap((one) => seen(one).lanes)) {
      expect(each.lead.length).toBeLessThanOrEqual(4);
      expect(each.figures.length).toBeLessThanOrEqual(7);
      expect(each.brief.length).toBeLessThanOrEqual(8);
    }
  });

  test('a due call of the component', () => {
    expect(seen(sceneOf('call-due')).lanes[1]).toMatchObject({
      word: 'due',
      mark: '●',
      step: 'bake high',
      figures: '7:50',
    });
  });

  test('only the first nine have a number', () => {
    const many = scene({
      now: '18:00',
      components: [...Array.from({ length: 9 }, () => ran(CREAM)), ran(SHELLS), ran(FINISH)],
    });
    expect(seen(many).lanes.map(({ number }) => number)).toEqual([
      1,
      2,
      3,
      4,
      5,
      6,
      7,
      8,
      9,
      undefined,
      undefined,
    ]);
  });
});

describe('the shared axis', () => {
  test('holds now and service, and its labels are round and do not touch', () => {
    const { axis } = seen(sceneOf('two-running'));
    expect(axis.nowColumn).toBeGreaterThan(0);
    expect(axis.services).toHaveLength(1);
    expect(axis.ticks.map(({ label }) => label)).toEqual([
      '18:15',
      '18:30',
      '18:45',
      '19:00',
      '19:15',
      '19:30',
    ]);
    const ends = axis.ticks.map(({ column, label }) => column + label.length);
    axis.ticks.slice(1).forEach(({ column }, index) => expect(column).toBeGreaterThan(ends[index] ?? 0));
  });

  test('moves a whole column at a time', () => {
    const from = (now: string) => seen(scene({ now })).axis.from;
    expect(from('18:20:01')).toBe(from('18:20:20'));
  });

  test('a night before: ticks stay on round local times over the change of the clocks', () => {
    const night = scene({ now: '18:00' });
    // Lisbon goes to summer time on 28 March 2027 at 01:00.
    const now = Date.UTC(2027, 2, 27, 21) as never;
    const service = [Date.UTC(2027, 2, 28, 8) as never];
    const state = { ...night.state, timetable: { ...night.state.timetable, service, steps: [] } };
    const projection = { ...night.projection, steps: [] };
    const { axis } = viewOf(state, projection, now, { axisWidth: 120 });
    expect(axis.ticks.map(({ label }) => label)).toEqual([
      '20:00',
      '22:00',
      'Sun 00:00',
      '04:00',
      '06:00',
      '08:00',
    ]);
  });
});

describe('the oven', () => {
  test('asked heats as steps, demands on them, and the door', () => {
    const [oven] = seen(sceneOf('two-running')).ovens;
    expect(oven).toMatchObject({
      name: 'oven',
      stands: 'at 220 C',
      door: 'shut',
      lock: { left: '21:30', step: 'shells: bake low' },
      levels: ['off', '180 C', '220 C'],
      clashes: [],
    });
    expect(oven?.asked.map(({ level }) => level)).toEqual([2, 1, 0]);
    expect(oven?.demands.map(({ step, level, door }) => [step, level, door])).toEqual([
      ['bake high', 2, 'shut'],
      ['bake low', 1, 'shut'],
      ['dry', 0, 'ajar'],
    ]);
  });

  test('a clash ahead lies where the two demands overlap', () => {
    const { ovens, axis } = seen(sceneOf('oven-clash'));
    const [clash] = ovens[0]?.clashes ?? [];
    const minute = (column: number) => axis.from + column * axis.cell * 1000;
    expect(Math.abs(minute(clash?.from ?? 0) - at('18:47'))).toBeLessThan(2 * axis.cell * 1000);
    expect(Math.abs(minute(clash?.to ?? 0) - at('18:52'))).toBeLessThan(2 * axis.cell * 1000);
  });

  test('on its way: where to, when right, and what it is reckoned to stand at', () => {
    expect(seen(sceneOf('oven-clash')).ovens[0]).toMatchObject({
      stands: 'falling to 180 C, right at 18:38',
      short: 'to 180 C',
      reckoned: 'about 200 C',
      openings: 1,
    });
  });
});

describe('whoever comes back', () => {
  test('sees what happened meanwhile and what is owed', () => {
    const gap = sceneOf('after-gap');
    expect(gap.state.gap && seen(gap, { absence: gap.state.gap }).away).toEqual({
      span: '18:30 to 18:50, 20 min: the computer slept',
      happened: [
        { clock: '18:42', text: 'shells: bake low may be done' },
        { clock: '18:44', text: 'shells: bake low is over' },
        { clock: '18:45', text: 'shells have waited too long to be pierced' },
      ],
      owed: ['shells: pierce every shell, due 18:44'],
    });
  });
});

test('nothing a plan or an event says can reach the terminal as anything but signs', () => {
  const nasty = 'x\u001B[2Jy\u0007\u202Ez\u0085\nw\u200B';
  const bad = scene({
    now: '18:20',
    calls: [call({ kind: 'done', step: named('cream.warm') }, nasty, '18:10')],
  });
  const workload = {
    ...bad.state.setup.workload,
    plans: bad.state.setup.workload.plans.map((plan) => ({ ...plan, title: nasty })),
    components: bad.state.setup.workload.components.map((each) => ({ ...each, name: nasty })),
  };
  const view = seen({ ...bad, state: { ...bad.state, setup: { ...bad.state.setup, workload } } });
  // A key names a thing and is never shown.
  const shown = JSON.stringify(view, (name, value: unknown) => (name === 'key' ? undefined : value));
  expect(shown).not.toMatch(/\\u00|\\n|\u202E|\u200B|\u0085/);
  expect(view.headline.title).toBe('x [2Jy z w');
});
