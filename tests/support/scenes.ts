import { celsius, minutes, plus, temperatureOf } from '../../src/units/index.ts';
import { COOLING_RULES, coolingReading, coolingSince } from '../../src/heat/index.ts';
import type { OvenRun, ProbeState, Proposal } from '../../src/bench/index.ts';
import {
  at,
  call,
  CREAM,
  ended,
  FINISH,
  hot,
  named,
  OVEN_OFF,
  ran,
  running,
  scene,
  SHELLS,
  TIMETABLE,
  type Scene,
  type SceneWords,
} from './states.ts';

const OVEN_220: OvenRun = {
  ...OVEN_OFF,
  heat: hot(220).heat,
  setAt: at('17:57'),
  phase: 'at temperature',
  readyAt: at('18:16'),
};

/** A new timetable, offered at 18:24 because the cream takes so long. */
const PROPOSAL: Proposal = {
  id: 'keeper:31',
  madeAt: at('18:24'),
  reason: 'finish: fill would begin 12 min later than told',
  answers: ['slips 1'],
  attempts: [1, 1, 1],
  timetable: TIMETABLE,
  changes: [
    moves('cream: chill from 18:25, not 18:06', 'cream.chill', '18:06', '18:25'),
    moves('shells: dry from 18:47, not 18:45', 'shells.dry', '18:45', '18:47'),
    moves('finish: whip from 19:09, not 19:05', 'finish.whip', '19:05', '19:09'),
    moves('finish: fill from 19:14, not 19:10', 'finish.fill', '19:10', '19:14'),
  ],
  serviceMoved: [],
  broken: [],
  others: [],
};

function moves(message: string, step: string, from: string, to: string): Proposal['changes'][number] {
  return { step: named(step), message, from: at(from), to: at(to) };
}

/** A probe that the cook has read, or one that reads by itself: a reading every minute, the last of them at `last`. */
function read(probe: string, last: string, figures: readonly number[], live = false): ProbeState {
  const heardAt = at(last);
  const samples = figures.map((figure, index) => ({
    at: plus(heardAt, -60 * (figures.length - 1 - index)),
    celsius: celsius(figure),
  }));
  return {
    probe,
    temperature: temperatureOf(figures.at(-1) ?? 0, 'C'),
    at: heardAt,
    track: { samples, heardAt, live },
  };
}

/** A body that cools from one temperature towards another, a reading every minute, to a tenth of a degree; `tau` in minutes. */
const cooled = (from: number, around: number, tau: number, count: number): readonly number[] =>
  Array.from(
    { length: count },
    (_, minute) => Math.round((around + (from - around) * Math.exp(-minute / tau)) * 10) / 10,
  );

/** A scene in which the cream's cooling is held to a set of rules, after these readings of it. */
function watched(readings: readonly (readonly [string, number])[], words: SceneWords): Scene {
  const made = scene(words);
  const { setup } = made.state;
  const kitchen = { ...setup.workload.kitchen, rules: 'us food code' };
  const components = setup.workload.components.map((each) =>
    each === CREAM ? { ...CREAM, cooling: 'cooked' as const } : each,
  );
  const { cooked } = COOLING_RULES['us food code'];
  const [first] = readings;
  const run = readings.reduce(
    (before, [clock, figure]) => coolingReading(before, cooked, { at: at(clock), celsius: celsius(figure) }),
    coolingSince(at(first?.[0] ?? words.now), cooked),
  );
  const workload = { ...setup.workload, kitchen, components };
  const cooling = [{ component: CREAM.id, attempt: 1, run }];
  return { ...made, state: { ...made.state, setup: { ...setup, workload }, cooling } };
}

const LATE_CREAM = {
  now: '18:24:30',
  margin: 240,
  components: [
    ran(CREAM, ended('17:50', '17:56'), running('17:58')),
    ran(SHELLS, ended('18:10', '18:15'), running('18:16')),
    ran(FINISH),
  ],
  ovens: [{ ...OVEN_220, lockedUntil: { at: at('18:42'), step: named('shells.bake low') } }],
} as const;

/** The evening's scenes, by name: each is a golden screen. */
export const SCENES: Readonly<Record<string, Scene>> = {
  'before-start': scene({
    now: '17:46:10',
    margin: 900,
    log: [{ at: at('17:45'), text: 'the run begins', kind: 'note' }],
  }),

  'two-running': scene({
    now: '18:20:30',
    components: [
      ran(CREAM, ended('17:50', '17:56'), ended('17:56', '18:06'), running('18:07')),
      ran(SHELLS, ended('18:10', '18:15'), running('18:16')),
      ran(FINISH),
    ],
    ovens: [{ ...OVEN_220, lockedUntil: { at: at('18:42'), step: named('shells.bake low') } }],
    more: { timers: [{ name: 'tea', startedAt: at('18:18'), endsAt: at('18:23') }] },
  }),

  'call-due': scene({
    now: '18:16:40',
    components: [
      ran(CREAM, ended('17:50', '17:56'), running('17:58')),
      ran(SHELLS, ended('18:10', '18:14:30')),
      ran(FINISH),
    ],
    ovens: [OVEN_220],
    expected: { 'cream.thicken': ['17:58', '18:18'], 'cream.chill': ['18:18', '19:05'] },
    calls: [
      call(
        { kind: 'start', step: named('shells.bake high') },
        'shells: trays into the oven, middle shelf',
        '18:16',
        {
          latest: { at: at('18:24:30'), breaks: 'a skin forms and the shells split' },
          caution: 'steam burns',
          component: SHELLS.id,
        },
      ),
      call(
        { kind: 'done', step: named('cream.thicken') },
        'cream: done when a spoon leaves a clean track',
        '18:18',
        { component: CREAM.id },
      ),
    ],
    more: {
      probes: [read('cream', '18:15', [78.5])],
    },
  }),

  'oven-clash': scene({
    now: '18:33:20',
    margin: -420,
    components: [
      ran(CREAM, ended('17:50', '17:56'), ended('17:56', '18:06'), running('18:07')),
      ran(SHELLS, ended('18:10', '18:15'), ended('18:16', '18:28'), running('18:28')),
      ran(FINISH),
    ],
    ovens: [
      {
        ...OVEN_220,
        heat: hot(180).heat,
        setAt: at('18:28'),
        from: celsius(220),
        phase: 'cooling',
        readyAt: at('18:38'),
        lockedUntil: { at: at('18:42'), step: named('shells.bake low') },
        earlyOpenings: [at('18:30')],
      },
    ],
    expected: { 'shells.bake low': ['18:28', '18:52'], 'shells.dry': ['18:47', '19:07'] },
    clashes: [
      {
        kind: 'oven',
        at: at('18:47'),
        steps: [named('shells.bake low'), named('shells.dry')],
        why: 'bake low wants 180 C, dry wants it off',
      },
    ],
    alarms: [
      {
        key: 'oven clash shells',
        kind: 'oven clash',
        cause: 'bake low still wants 180 C when dry wants the oven off, at 18:47',
        consequence: 'the shells stay damp and fall',
        action: 'give bake low no more than 14 min, or dry them later',
        by: at('18:47'),
        priority: 'high',
        raisedAt: at('18:32'),
        rangAt: at('18:32'),
        state: 'unacknowledged',
      },
      {
        key: 'door',
        kind: 'door opened early',
        cause: 'the oven was opened at 18:30, 12 min too soon',
        consequence: 'the shells may sink',
        action: 'leave it shut until 18:42',
        by: at('18:42'),
        priority: 'medium',
        raisedAt: at('18:30'),
        rangAt: at('18:30'),
        state: 'heard',
      },
    ],
    calls: [
      call({ kind: 'done', step: named('shells.bake low') }, 'shells: done when chestnut and firm', '18:42', {
        component: SHELLS.id,
      }),
    ],
  }),

  'after-gap': scene({
    now: '18:50:05',
    margin: 60,
    components: [
      ran(CREAM, ended('17:50', '17:56'), ended('17:56', '18:06'), running('18:07')),
      ran(SHELLS, ended('18:10', '18:15'), ended('18:16', '18:28'), ended('18:28', '18:44')),
      ran(FINISH),
    ],
    ovens: [{ ...OVEN_220, heat: hot(180).heat, setAt: at('18:28'), readyAt: at('18:38') }],
    log: [
      { at: at('18:28'), text: 'shells: bake high is over', kind: 'step' },
      { at: at('18:42'), knownAt: at('18:50'), text: 'shells: bake low may be done', kind: 'step' },
      { at: at('18:44'), knownAt: at('18:50'), text: 'shells: bake low is over', kind: 'step' },
      {
        at: at('18:45'),
        knownAt: at('18:50'),
        text: 'shells have waited too long to be pierced',
        kind: 'alarm',
      },
    ],
    calls: [
      call({ kind: 'start', step: named('shells.pierce') }, 'shells: pierce every shell', '18:44', {
        latest: { at: at('18:45'), breaks: 'steam softens the shells' },
        component: SHELLS.id,
      }),
    ],
    more: { gap: { from: at('18:30'), to: at('18:50'), reason: 'machine slept' } },
  }),

  'offer-kept': scene({ ...LATE_CREAM, proposal: PROPOSAL, offeredMargin: 720 }),

  'offer-moved': scene({
    ...LATE_CREAM,
    proposal: {
      ...PROPOSAL,
      serviceMoved: [{ plan: 0, from: at('19:30'), to: at('19:45') }],
      broken: [{ steps: [named('finish.fill')], message: 'cream keeps 20 min until finish.fill is over' }],
    },
    calls: [
      call(
        { kind: 'done', step: named('cream.thicken') },
        'cream: done when a spoon leaves a clean track',
        '18:18',
        { component: CREAM.id },
      ),
    ],
    alarms: [
      {
        key: 'runs over',
        kind: 'runs over',
        cause: 'cream: thicken was to take 13 min at most',
        consequence: '4 min are left in hand',
        action: 'look at it: end it, date its end back, or give it more minutes',
        priority: 'low',
        raisedAt: at('18:12'),
        rangAt: at('18:12'),
        state: 'heard',
      },
    ],
  }),

  'set-aside': scene({
    ...LATE_CREAM,
    alarms: [
      {
        key: 'late',
        kind: 'late for service',
        cause: 'ready at 19:32 at the soonest, as it stands',
        consequence: 'service is 2 min late',
        action: 'leave something out, get another pair of hands, or tell the table',
        by: at('19:30'),
        priority: 'medium',
        raisedAt: at('18:23'),
        rangAt: at('18:23'),
        state: 'unacknowledged',
        firstOut: true,
      },
    ],
    margin: -120,
    more: {
      shelved: [
        {
          key: 'late cream',
          kind: 'runs over',
          cause: 'cream: thicken was to take 13 min at most',
          priority: 'low',
          until: at('18:40'),
          reason: 'it is being seen to',
        },
      ],
      outOfService: [{ kind: 'not started', since: at('17:50'), reason: 'not wanted in this run' }],
      forecast: {
        of: at('18:24'),
        clashes: [
          {
            key: 'hands',
            kind: 'hands',
            steps: [named('shells.pierce'), named('finish.whip')],
            why: 'shells: pierce and finish: whip want both hands',
            chance: 0.7,
            soonest: at('18:40'),
            usual: at('18:46'),
          },
          {
            key: 'oven',
            kind: 'oven',
            steps: [named('shells.bake low'), named('shells.dry')],
            why: 'bake low wants 180 C, dry wants it off',
            chance: 'certain',
            soonest: at('18:45'),
            usual: at('18:45'),
          },
        ],
      },
    },
  }),

  'cooling-cream': watched(
    [
      ['18:09', 78],
      ['18:18', 54.8],
      ['18:40', 23.6],
    ],
    {
      now: '18:40:20',
      components: [
        ran(CREAM, ended('17:50', '17:56'), ended('17:56', '18:06'), running('18:07')),
        ran(SHELLS, ended('18:10', '18:15'), ended('18:16', '18:28'), running('18:28')),
        ran(FINISH),
      ],
      ovens: [{ ...OVEN_220, heat: hot(180).heat, setAt: at('18:28'), readyAt: at('18:38') }],
      more: {
        probes: [
          read('cream', '18:40', cooled(78, 3, 24, 32), true),
          read('oven air', '18:40', [220, 214, 208, 202, 197, 193, 189, 186, 183, 181, 180, 180], true),
        ],
        feeds: [
          { feed: 'mqtt', state: 'on', detail: 'kitchen-broker', used: 1204, thinned: 36, refused: 0 },
          {
            feed: 'port 9311',
            state: 'off',
            detail: 'closed by the other side',
            used: 12,
            thinned: 0,
            refused: 3,
          },
        ],
      },
    },
  ),

  'cooling-missed': watched(
    [
      ['16:30', 60],
      ['17:30', 52],
      ['18:40', 44.5],
    ],
    {
      now: '18:40:20',
      components: [
        ran(CREAM, ended('16:10', '16:16'), ended('16:16', '16:26'), running('16:27')),
        ran(SHELLS, ended('18:10', '18:15'), ended('18:16', '18:28'), running('18:28')),
        ran(FINISH),
      ],
      ovens: [{ ...OVEN_220, heat: hot(180).heat, setAt: at('18:28'), readyAt: at('18:38') }],
      alarms: [
        {
          key: 'passed cooling cream 0#1',
          kind: 'cooling limit passed',
          component: CREAM.id,
          cause: 'cream: 21 C was to be read by 18:30, and was not',
          consequence: 'the rule is not met: US Food Code 3-501.14',
          action: 'do what your own food safety plan says',
          priority: 'high',
          raisedAt: at('18:30'),
          rangAt: at('18:30'),
          state: 'heard',
        },
      ],
      more: { probes: [read('cream', '18:40', cooled(62, 20, 110, 60), true)] },
    },
  ),

  'oven-forecast': scene({
    now: '18:13:20',
    margin: 240,
    components: [
      ran(CREAM, ended('17:50', '17:56'), running('17:58')),
      ran(SHELLS, running('18:10')),
      ran(FINISH),
    ],
    ovens: [
      {
        ...OVEN_220,
        setAt: at('18:08'),
        phase: 'heating',
        readyAt: at('18:27'),
      },
    ],
  }),

  'silent-probe': scene({
    now: '18:40:20',
    components: [
      ran(CREAM, ended('17:50', '17:56'), ended('17:56', '18:06'), running('18:07')),
      ran(SHELLS, ended('18:10', '18:15'), ended('18:16', '18:28'), running('18:28')),
      ran(FINISH),
    ],
    ovens: [{ ...OVEN_220, heat: hot(180).heat, setAt: at('18:28'), readyAt: at('18:38') }],
    more: { probes: [read('cream', '18:31', cooled(78, 3, 24, 23), true)] },
  }),

  quiet: scene({
    ...LATE_CREAM,
    more: { quietUntil: at('18:44') },
    calls: [
      call(
        { kind: 'done', step: named('cream.thicken') },
        'cream: done when a spoon leaves a clean track',
        '18:18',
        { component: CREAM.id },
      ),
    ],
  }),

  'three-ways': scene({
    ...LATE_CREAM,
    proposal: {
      ...PROPOSAL,
      others: [
        {
          what: 'serve 10 min later',
          timetable: { ...TIMETABLE, service: [at('19:40')] },
          changes: [moves('finish: fill from 19:20, not 19:10', 'finish.fill', '19:10', '19:20')],
          serviceMoved: [{ plan: 0, from: at('19:30'), to: at('19:40') }],
          broken: [],
        },
        {
          what: 'whip before the shells are out',
          timetable: { ...TIMETABLE, service: [at('19:50')] },
          changes: [moves('finish: whip from 18:30, not 19:05', 'finish.whip', '19:05', '18:30')],
          serviceMoved: [],
          broken: [
            { steps: [named('finish.fill')], message: 'cream keeps 20 min until finish.fill is over' },
          ],
        },
      ],
    },
    offeredMargin: 720,
  }),
};

/** Minutes, for tests that count. */
export const MINUTE_MS = minutes(1) * 1000;
