import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  cutsFor,
  nextCut,
  nextStretch,
  outlook,
  type OnAir,
  type Pace,
  type Slot,
} from '../../../src/planner/index.ts';
import { fillsFor, stretchesFor } from '../../../src/planner/stage/cuts.ts';
import { epochMs, plus, seconds } from '../../../src/units/index.ts';

const BEGUN = epochMs(Date.parse('2027-05-14T18:00:00Z'));

/** `name: [length, shortest, longest, worth]`, in seconds; a fifth says after which showing it waits for how long. */
type Written = Readonly<
  Record<string, readonly [number, number, number, Slot['worth'], { after: number; for: number }?]>
>;

const paceOf = (written: Written, lasts: number, within = 30): Pace => ({
  lasts: seconds(lasts),
  within: seconds(within),
  slots: Object.entries(written).map(([id, [length, shortest, longest, worth, waits]]): Slot => ({
    id,
    length: seconds(length),
    shortest: seconds(shortest),
    longest: seconds(longest),
    worth,
    waits: waits ? [{ after: waits.after, for: seconds(waits.for) }] : [],
  })),
});

/** So many seconds after it went on air, in a showing that began at `since`. */
const at = (now: number, showing: number, since: number, more: Partial<OnAir> = {}): OnAir => ({
  now: plus(BEGUN, now),
  begun: BEGUN,
  showing,
  since: plus(BEGUN, since),
  lengths: {},
  ...more,
});

/** `pipe 60 > 20 gives 40` */
const said = (changes: readonly { showing: string; from: number; to: number; gives: number }[]): string[] =>
  changes.map(({ showing, from, to, gives }) => `${showing} ${from} > ${to} gives ${gives}`);

const SHOW: Written = {
  welcome: [40, 20, 90, 'talk'],
  whisk: [120, 120, 120, 'whole'],
  pipe: [60, 20, 60, 'repeated'],
  fold: [90, 60, 100, 'part'],
  ask: [60, 30, 120, 'talk'],
  plate: [30, 20, 60, 'beauty'],
};

describe('cuts', () => {
  test('nothing is cut where it does not run over', () => {
    expect(cutsFor(paceOf(SHOW, 400), at(0, 0, 0))).toEqual([]);
    expect(nextCut(paceOf(SHOW, 400), at(0, 0, 0))).toBeUndefined();
  });

  test('talk first, then what is repeated, then parts, then the finished plate; what nature decides never', () => {
    // The whisking began in time and has gone on for 150 s instead of 120.
    expect(said(cutsFor(paceOf(SHOW, 400), at(190, 1, 40)))).toEqual([
      'ask 60 > 30 gives 30',
      'pipe 60 > 30 gives 30',
      'fold 90 > 60 gives 30',
      'plate 30 > 20 gives 10',
    ]);
  });

  test('of one kind, what is enough comes before what gives more than the other and is not', () => {
    const two = paceOf(
      { go: [60, 60, 60, 'whole'], one: [30, 10, 30, 'talk'], two: [90, 30, 90, 'talk'] },
      180,
    );
    expect(said(cutsFor(two, at(100, 0, 0)))).toEqual(['two 90 > 50 gives 40', 'one 30 > 10 gives 20']);
  });

  test('what is cut is cut to a round figure, and to no more than is needed', () => {
    expect(said(cutsFor(paceOf(SHOW, 400), at(172, 1, 40)))).toEqual([
      'ask 60 > 45 gives 15',
      'pipe 60 > 45 gives 15',
      'fold 90 > 75 gives 15',
      'plate 30 > 20 gives 10',
    ]);
  });

  test('the showing that is going can be cut to what has been shown', () => {
    const pace = paceOf({ first: [60, 60, 60, 'whole'], talk: [60, 20, 60, 'talk'] }, 100);
    expect(said(cutsFor(pace, at(102, 1, 60)))).toEqual(['talk 60 > 45 gives 15']);
  });

  test('where the oven is waited for, a cut before it gives nothing', () => {
    const pace = paceOf(
      {
        load: [20, 20, 20, 'whole'],
        talk: [100, 40, 100, 'talk'],
        unload: [30, 20, 30, 'part', { after: 0, for: 100 }],
        plate: [30, 10, 30, 'beauty'],
      },
      150,
    );
    expect(outlook(pace, at(20, 1, 20, { ended: { 0: plus(BEGUN, 20) } })).over).toBe(30);
    expect(said(cutsFor(pace, at(20, 1, 20, { ended: { 0: plus(BEGUN, 20) } })))).toEqual(
      ['plate 30 > 10 gives 20', 'unload 30 > 20 gives 10'].toReversed(),
    );
  });

  test('nothing is said until half of what the end may be off by is used up', () => {
    expect(nextCut(paceOf(SHOW, 400), at(175, 1, 40))).toBeUndefined();
    expect(nextCut(paceOf(SHOW, 400), at(176, 1, 40))).toMatchObject({ showing: 'ask', to: 40, gives: 20 });
  });

  test('no more is cut than helps, where the oven is waited for', () => {
    const pace = paceOf(
      {
        load: [20, 20, 20, 'whole'],
        talk: [100, 40, 100, 'talk'],
        unload: [30, 30, 30, 'part', { after: 0, for: 90 }],
      },
      110,
    );
    expect(said(cutsFor(pace, at(20, 1, 20, { ended: { 0: plus(BEGUN, 20) } })))).toEqual([
      'talk 100 > 90 gives 10',
    ]);
  });

  test('a swap that would be too old is kept by a cut before it, also where the end is in time', () => {
    const pace = paceOf({ ...SHOW, wait: [60, 60, 60, 'part'] }, 470);
    const by = (index: number, offset: number): Pace => ({
      ...pace,
      slots: pace.slots.map((slot, place) => (place === index ? { ...slot, by: plus(BEGUN, offset) } : slot)),
    });
    // Folding would begin at 3:40, and its swap is right until 3:25.
    expect(nextCut(by(3, 205), at(0, 0, 0))).toMatchObject({
      showing: 'welcome',
      to: 25,
      gives: 15,
      keeps: 'fold',
    });
    expect(nextCut(by(3, 220), at(0, 0, 0))).toBeUndefined();
    // Once it is on the table there is nothing to keep.
    expect(nextCut(by(3, 205), at(230, 3, 220))).toBeUndefined();
    // Time in hand is not spent on making it too old.
    const inHand = { ...by(3, 225), lasts: seconds(600) };
    const [first] = stretchesFor(inHand, at(0, 0, 0));
    expect(first).toMatchObject({ showing: 'ask' });
    expect(stretchesFor(inHand, at(0, 0, 0)).map(({ showing }) => showing)).not.toContain('welcome');
  });
});

describe('stretches', () => {
  test('time in hand goes to talk, the latest first', () => {
    const pace = paceOf(SHOW, 460);
    expect(said(stretchesFor(pace, at(0, 0, 0)))).toEqual([
      'ask 60 > 120 gives 60',
      'welcome 40 > 90 gives 50',
      'fold 90 > 100 gives 10',
      'plate 30 > 60 gives 30',
    ]);
    expect(nextStretch(pace, at(0, 0, 0))).toMatchObject({ showing: 'ask', to: 120 });
    expect(nextStretch(paceOf(SHOW, 415), at(0, 0, 0))).toBeUndefined();
  });
});

describe('silence', () => {
  test('where something off view is waited for, what is before it is stretched, the nearest first', () => {
    const pace = paceOf(
      {
        load: [20, 20, 20, 'whole'],
        early: [30, 20, 60, 'talk'],
        late: [30, 20, 60, 'talk'],
        unload: [30, 20, 30, 'part', { after: 0, for: 100 }],
        after: [30, 10, 90, 'talk'],
      },
      180,
    );
    expect(said(fillsFor(pace, at(0, 0, 0)))).toEqual(['late 30 > 60 gives 30', 'early 30 > 60 gives 30']);
    expect(nextStretch(pace, at(0, 0, 0))).toMatchObject({ showing: 'late', to: 60 });
    const filled = at(0, 0, 0, { lengths: { early: seconds(60), late: seconds(45) } });
    expect(fillsFor(pace, filled)).toEqual([]);
    expect(nextStretch(pace, filled)).toBeUndefined();
  });
});

const slot = fc
  .record({
    shortest: fc.integer({ min: 1, max: 120 }),
    cut: fc.integer({ min: 0, max: 120 }),
    more: fc.integer({ min: 0, max: 120 }),
    worth: fc.constantFrom<Slot['worth']>('talk', 'repeated', 'part', 'whole', 'beauty'),
    waits: fc.option(fc.integer({ min: 1, max: 300 })),
  })
  .map(({ shortest, cut, more, worth, waits }) => ({
    length: seconds(shortest + cut),
    shortest: seconds(shortest),
    longest: seconds(shortest + cut + more),
    worth,
    waits,
  }));

/** A demonstration and a moment in it. */
const moments = fc
  .record({
    slots: fc.array(slot, { minLength: 1, maxLength: 8 }),
    lasts: fc.integer({ min: 10, max: 900 }),
    showing: fc.nat(),
    since: fc.integer({ min: 0, max: 500 }),
    shown: fc.integer({ min: 0, max: 200 }),
  })
  .map(({ slots, lasts, showing, since, shown }): { pace: Pace; onAir: OnAir } => {
    const going = showing % (slots.length + 1);
    return {
      pace: {
        lasts: seconds(lasts),
        within: seconds(0),
        slots: slots.map(({ waits, ...each }, index) => ({
          ...each,
          id: `s${index}`,
          waits: waits === null ? [] : [{ after: index - 1, for: seconds(waits) }],
        })),
      },
      onAir: at(since + shown, going, since),
    };
  });

describe('whatever the demonstration and the moment', () => {
  test('cuts and stretches stay within what is allowed, move the end by what they say, and leave alone what is over', () => {
    let seen = 0;
    fc.assert(
      fc.property(moments, ({ pace, onAir }) => {
        const before = outlook(pace, onAir).over;
        for (const change of [...cutsFor(pace, onAir), ...stretchesFor(pace, onAir)]) {
          seen += 1;
          const one = pace.slots[change.index];
          expect(one).toBeDefined();
          if (!one) continue;
          expect(change.index).toBeGreaterThanOrEqual(onAir.showing);
          expect(change.to).toBeGreaterThanOrEqual(one.shortest);
          expect(change.to).toBeLessThanOrEqual(one.longest);
          expect(change.gives).toBeLessThanOrEqual(Math.abs(change.from - change.to));
          const after = outlook(pace, { ...onAir, lengths: { [change.showing]: change.to } }).over;
          expect(Math.abs(before - after)).toBe(change.gives);
        }
      }),
      { seed: 7, numRuns: 400 },
    );
    expect(seen).toBeGreaterThan(200);
  });

  test('taken one after the other, cuts come to an end, and leave it over only where nothing more can be cut', () => {
    fc.assert(
      fc.property(moments, ({ pace, onAir }) => {
        let now = onAir;
        for (let count = 0; ; count += 1) {
          expect(count).toBeLessThan(60);
          const cut = nextCut(pace, now);
          if (!cut) break;
          now = { ...now, lengths: { ...now.lengths, [cut.showing]: cut.to } };
        }
        const left = outlook(pace, now).over;
        expect(left > 0 ? cutsFor(pace, now) : []).toEqual([]);
      }),
      { seed: 7, numRuns: 300 },
    );
  });
});
