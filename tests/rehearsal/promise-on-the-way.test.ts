import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { BenchState, RunSetup } from '../../src/bench/index.ts';
import { planTimetable } from '../../src/planner/index.ts';
import { chance } from '../../src/rehearsal/chance.ts';
import { epochMs, plus, type EpochMs } from '../../src/units/index.ts';
import { brokenIn, obey, type Fate } from '../support/obedient.ts';
import { moment } from '../support/workloads.ts';
import { workloads } from '../planner/support/arbitraries.ts';
import { ranged, ranges } from '../planner/support/ranged.ts';

const SERVICE = moment('2027-05-14 19:30');
const ANSWER = 20;

/** Most lengths and answers at the ends of what is allowed, and now and then one that is not: far too long, too short, or answered late. */
const unruly = (seed: number): Fate => ({
  length({ id, length }) {
    if (length.kind === 'rest') return length.atLeast;
    const { low, high } = length.range;
    const luck = chance(seed, 'unruly', id);
    if (luck < 0.12) return Math.round(high * 1.6 + 60);
    if (luck < 0.2) return Math.round(low * 0.6);
    return luck < 0.6 ? low : high;
  },
  delay(about) {
    const luck = chance(seed, 'delay', about);
    return luck < 0.08 ? 150 : luck < 0.5 ? 0 : ANSWER;
  },
});

interface Played {
  readonly end: BenchState;
  /** Since when the promise was held to the end; nothing where it was not held at the end. */
  readonly since: EpochMs | undefined;
  readonly gained: number;
}

function played(setup: RunSetup, fate: Fate, replans: boolean): Played {
  let since: EpochMs | undefined;
  let gained = 0;
  const end = obey(setup, fate, {
    replans,
    look({ promise, time, servedAt }) {
      if (servedAt !== undefined) return;
      if (promise?.holds !== true) since = undefined;
      else if (since === undefined) {
        since = time;
        gained += promise.since ? 1 : 0;
      }
    },
  });
  return { end, since, gained };
}

test.each([
  ['the timetable stays', false, 40],
  ['new timetables are taken', true, 25],
])('what is promised on the way is kept from there on: %s', (_, replans, numRuns) => {
  const seen = { held: 0, gained: 0, lost: 0 };
  fc.assert(
    fc.property(
      workloads({ components: 3, stepsEach: 3, ovens: 1, longest: 12 }),
      ranges,
      fc.integer(),
      fc.integer({ min: 0, max: 10 }),
      (plain, luck, seed, earlier) => {
        const of = ranged(plain, luck);
        const planned = planTimetable(of, {
          service: { kind: 'at', moments: [SERVICE] },
          effort: 200_000,
          reasons: 'spare',
        });
        if (!('timetable' in planned)) return;
        const { timetable } = planned;
        const first = Math.min(
          ...timetable.steps.map(({ start }) => start),
          ...timetable.settings.map(({ at }) => at),
        );
        const begunAt = plus(epochMs(first), -60 * earlier);
        const setup: RunSetup = { run: 'promise', workload: of, timetable, begunAt, keeps: 'promise' };
        for (let round = 0; round < 4; round += 1) {
          const { end, since, gained } = played(setup, unruly(seed + round), replans);
          seen.gained += gained;
          seen[since === undefined ? 'lost' : 'held'] += 1;
          const broken = since === undefined ? [] : brokenIn(end, of, ANSWER, since);
          expect({ broken, isStuck: since !== undefined && end.servedAt === undefined }).toEqual({
            broken: [],
            isStuck: false,
          });
        }
      },
    ),
    { numRuns, seed: 5, endOnFailure: true },
  );
  expect(seen.held).toBeGreaterThan(20);
  expect(seen.gained).toBeGreaterThan(5);
  expect(seen.lost).toBeGreaterThan(5);
});
