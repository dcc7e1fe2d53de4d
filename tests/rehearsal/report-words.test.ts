import { expect, test } from 'vitest';
import { stepId, componentId } from '../../src/plan/index.ts';
import { reportJson, reportText, LIFELIKE, type Report } from '../../src/rehearsal/index.ts';
import { epochMs, plus, seconds } from '../../src/units/index.ts';

const BEGIN = epochMs(Date.UTC(2027, 2, 6, 15));
const CREAM = stepId(componentId('cream'), 'cook');
const FILL = stepId(componentId('buns'), 'fill');
const exact = (value: number) => ({ value, low: value - 60, high: value + 60 });
const chance = (share: number) => ({
  share,
  low: Math.max(0, share - 0.02),
  high: Math.min(1, share + 0.02),
});
const better = { by: 0.12, low: 0.08, high: 0.16 };

const mixer = (well: number, difference: Report['changes'][number]['well']['difference']) => ({
  words: 'with one more mixer',
  onTime: { without: 0.9, with: 0.95, difference: { by: 0.05, low: 0.02, high: 0.08 } },
  well: { without: 0.8, with: well, difference },
  sooner: seconds(60),
  begin: BEGIN,
});

const report: Report = {
  plans: [{ title: 'Small', makes: '20 buns', service: plus(BEGIN, 4 * 3600) }],
  timeZone: 'UTC',
  begin: BEGIN,
  got: {
    runs: 1000,
    seed: 7,
    asked: 1000,
    stopped: false,
    wanting: 300,
    onBench: 50,
    stoodFor: 300,
    stuck: 0,
    life: LIFELIKE,
    compared: 500,
  },
  onTime: chance(0.904),
  well: chance(0.8),
  ready: [10, 50, 90, 95, 99].map((percent, index) => ({ percent, seconds: exact(-1200 + index * 450) })),
  late: [50, 90, 95, 99].map((percent, index) => ({ percent, seconds: exact(index * 200) })),
  windows: [
    { kind: 'service', steps: [FILL], words: 'Small served in time', broken: chance(0.096) },
    {
      kind: 'within',
      steps: [CREAM, FILL],
      words: 'buns: fill may wait 5 min after bake',
      broken: chance(0.05),
    },
    { kind: 'keeps', steps: [CREAM], words: 'cream keeps 2 h', broken: { share: 0, low: 0, high: 0.004 } },
  ],
  blame: {
    of: 'late',
    runs: 96,
    steps: [
      {
        step: CREAM,
        words: 'cream: cook',
        onPath: 0.9,
        added: 0.7,
        correlation: 0.8,
        minuteLess: { sooner: seconds(52), onTime: better },
      },
      { step: FILL, words: 'buns: fill', onPath: 1, added: 0.3, correlation: null },
    ],
  },
  clashes: [
    {
      kind: 'tool',
      item: 'mixer',
      step: FILL,
      behind: CREAM,
      words: 'buns: fill waited for the mixer, behind cream: cook',
      chance: chance(0.03),
      seconds: seconds(95),
    },
  ],
  latestStarts: [
    {
      percent: 90,
      begin: plus(BEGIN, 300),
      earlier: exact(-300),
      verified: chance(0.91),
      breaksRules: false,
    },
    {
      percent: 95,
      begin: plus(BEGIN, -600),
      earlier: exact(600),
      verified: chance(0.95),
      breaksRules: false,
    },
    { percent: 99, begin: plus(BEGIN, -1200), earlier: exact(1200), breaksRules: true },
  ],
  changes: [mixer(0.93, { by: 0.13, low: 0.09, high: 0.17 })],
  best: mixer(0.92, better),
  bands: [{ step: CREAM, start: { low: BEGIN, usual: BEGIN, high: BEGIN }, end: {} }],
};

test('the report in words: what matters first, then figures, last how they were got', () => {
  expect(
    reportText(report, {
      holds: false,
      words: ['may break: service can be missed by 5 min', '  because so'],
    }),
  ).toBe(`\
Small: 20 buns, served 19:00
Rehearsed 1000 times

On time: in 90.4 % (88.4-92.4) of rehearsals; late is a minute or more.
All well: in 80 % (78-82), on time and within every limit of the plan.
Ready: usually 13 min before service, in nine of ten 5 min before service or sooner.
Late: in 99 of 100 by 10 min at most.
Breaks first: buns: fill may wait 5 min after bake; broken in 5 % (3-7).
Makes it late: cream: cook, 70 % of the delay.
Helps most, tried: with one more mixer.
  All well in 92 % instead of 80 %, 12 points more (8 to 16),
  on 500 other rehearsals than it was chosen by.
Latest beginning for 95 of 100 to be ready by service: 14:50, 10 min earlier than planned; or service as much later.
It may break: service can be missed by 5 min
  because so

Everything ready
  one of ten by   20 min before service    (21 min to 19 min before)
  half by         13 min before service    (14 min to 12 min before)
  nine of ten by  5 min before service     (6 min to 4 min before)
  95 of 100 by    2 min 30 s after service (1 min 30 s to 3 min 30 s after)
  99 of 100 by    10 min after service     (9 min to 11 min after)

Limits, and how often they were broken
  9.6 % (7.6-11.6)       Small served in time
  5 % (3-7)              buns: fill may wait 5 min after bake
  never                  the other 1; each in 0.4 % at most, as far as this many rehearsals tell

What made it late (the 96 that were late)
  on the path  of the delay  a minute less buys
         90 %          70 %  52 s sooner, +12 points  cream: cook
        100 %          30 %                           buns: fill

Waiting for each other
  3 % (1-5)              buns: fill waited for the mixer, behind cream: cook; 1 min 40 s in the mean

Latest beginning (planned 15:00) to be ready by service
  in 90 of 100  15:05, 5 min later; tried on others: ready in 91 % (89-93)
  in 95 of 100  14:50, 10 min earlier; tried on others: ready in 95 % (93-97)
  in 99 of 100  14:40, 20 min earlier
                but beginning then would break a rule of the plan or of the kitchen

What was tried, on 500 of the same rehearsals
  with one more mixer
      all well 93 % (+13 points), on time 95 % (+5 points)

How this was got
  1000 rehearsals, seeds 7 to 1006: each step's length is drawn from its range in the plan.
  The ranges are the cook's own guess until records replace them.
  Assumed beside them: two steps of a day go together by 0.15, two bakes in an oven by 0.4;
  a rest is enough after 70 to 100 % of its least, one that ends at a temperature after 80 to 125 %;
  1 % of presses are forgotten for 1 min to 4 min; answers come after 2 to 20 s.
  In 300 a new timetable was wanted on the way. 50 of them, drawn by lot, were played again on the
  real bench, where the cook takes one that keeps service, and stand for all.
  What made it late, who waited, latest beginnings and what was tried are of rehearsals
  without new timetables. In brackets: where the true figure lies, in 95 of 100 such reports.`);
});

test('a report that was stopped before anything was played says no more than that', () => {
  const nothing: Report = {
    ...report,
    got: { ...report.got, runs: 0, stopped: true, wanting: 0, onBench: 0, stoodFor: 0 },
    windows: [],
    blame: { of: 'late', runs: 0, steps: [] },
    clashes: [],
    latestStarts: [],
    changes: [],
  };
  expect(reportText(nothing)).toBe(`\
Small: 20 buns, served 19:00
Rehearsed 0 times of 1000: stopped, this is what there is

No rehearsal had come to its end.`);
});

test('what helps is told by what it helps, and by nothing where it was luck', () => {
  const inTime: Report = { ...report, best: mixer(0.81, { by: 0.01, low: -0.02, high: 0.04 }) };
  expect(reportText(inTime)).toContain(
    'Helps most, tried: with one more mixer.\n  On time in 95 % instead of 90 %, 5 points more (2 to 8),\n  on 500 other rehearsals than it was chosen by.',
  );
  const { best: _best, ...luck } = report;
  expect(reportText(luck)).toContain('Nothing that was tried helps more than luck would.');
  const stopped = { ...luck, got: { ...luck.got, stopped: true } };
  expect(reportText(stopped)).not.toContain('more than luck');
});

test('what made no difference is told as that', () => {
  const none = { by: 0, low: -0.01, high: 0.01 };
  const [mixed] = report.changes;
  if (!mixed) throw new Error('no change');
  const same = { without: 0.9, with: 0.9, difference: none };
  const text = reportText({
    ...report,
    changes: [
      { ...mixed, onTime: same },
      { ...mixed, words: 'with one more pair of hands', onTime: same, well: same },
    ],
  });
  expect(text).toContain(`What was tried, on 500 of the same rehearsals
  with one more mixer
      all well 93 % (+13 points), on time 90 % (as before)
  no difference
      with one more pair of hands
`);
});

test('a beginning that would break a rule is not praised in the summary either', () => {
  const latestStarts = report.latestStarts.map((start) => ({ ...start, breaksRules: true }));
  expect(reportText({ ...report, latestStarts })).toContain(
    '14:50, 10 min earlier than planned; or service as much later.\n  but beginning then would break a rule of the plan or of the kitchen.',
  );
});

test('a timetable that holds can still be late, and it is said why', () => {
  const promise = { holds: true, words: ['holds whatever happens within the ranges'] };
  const why = 'temperatures also come late and presses are forgotten, which lies outside the ranges.';
  expect(reportText(report, promise)).toContain(why);
  expect(reportText({ ...report, well: chance(1) }, promise)).not.toContain(why);
});

test('where it lies is not made up: of few the latest may be later than any that were seen', () => {
  const few: Report = {
    ...report,
    ready: [{ percent: 99, seconds: { value: 300, low: 120, high: Infinity } }],
  };
  expect(reportText(few)).toContain(
    '99 of 100 by    5 min after service      (2 min after service or later)',
  );
});

test('where it was stopped before each kind was played again, it says which count as they went', () => {
  const half: Report = { ...report, got: { ...report.got, onBench: 3, stoodFor: 200 } };
  expect(reportText(half)).toContain(
    `3 of them, drawn by lot, were played again on the
  real bench, where the cook takes one that keeps service, and stand for 200.
  The others count as they went without one.`,
  );
});

test('where many come to no end it says so, and no time for it', () => {
  const never = { value: Infinity, low: 600, high: Infinity };
  const text = reportText({
    ...report,
    ready: [10, 50, 90, 95, 99].map((percent) => ({ percent, seconds: percent < 90 ? exact(-60) : never })),
    late: [{ percent: 99, seconds: never }],
  });
  expect(text).toContain('Ready: usually 1 min before service; one of ten or more came to no end.');
  expect(text).not.toContain('Late: in 99');
});

test('a share that is neither all nor nothing is never rounded to it', () => {
  const nearly = { ...report, onTime: { share: 0.9999, low: 0.999, high: 1 } };
  expect(reportText(nearly)).toContain('On time: in 99.9 % (99.9-100) of rehearsals');
});

test('for programs moments are written out, and what never came is null', () => {
  const json = JSON.parse(JSON.stringify(reportJson(report))) as {
    begin: string;
    best: unknown;
    bands: unknown[];
  };
  expect(json.begin).toBe('2027-03-06T15:00:00.000Z');
  expect(json.best).toMatchObject({ begin: json.begin });
  expect(json.bands[0]).toEqual({
    step: 'cream.cook',
    start: { low: json.begin, usual: json.begin, high: json.begin },
    end: { low: null, usual: null, high: null },
  });
});
