import fc from 'fast-check';
import { formatDayHours, type DayHours } from '../../src/units/index.ts';
import type { Both } from './arbitrary-plan.ts';

/** Hours of work and nights made up together with what they mean, worked out without the reader. */

const DAYS = ['monday', 'tuesday', 'wednesday', 'thursday', 'friday', 'saturday', 'sunday'];

const dayHours: fc.Arbitrary<Both<string, DayHours>> = fc
  .record({
    from: fc.record({ hour: fc.nat(23), minute: fc.nat(59) }),
    to: fc.record({ hour: fc.nat(23), minute: fc.nat(59) }),
    dash: fc.constantFrom('-', ' - ', '\u2013', ' to '),
    short: fc.boolean(),
  })
  .map(({ from, to, dash, short }) => {
    const long = formatDayHours({ from, to }).replace('-', dash);
    return { words: short ? long.replaceAll(/\b0(?=\d:)/g, '') : long, means: { from, to } };
  });
const dayOrNone: fc.Arbitrary<Both<string, DayHours | 'off'>> = fc.oneof(
  dayHours,
  fc.constantFrom('none', 'None').map((words) => ({ words, means: 'off' as const })),
);

const sameEveryDay = dayHours.map(({ words, means }): Both<unknown, unknown> => ({
  words,
  means: DAYS.map(() => means),
}));
const byTheDay = fc
  .record({
    // At least one day is left to the others, and has work: else there are complaints.
    named: fc.dictionary(fc.constantFrom(...DAYS.slice(1)), dayOrNone, { noNullPrototype: true }),
    other: dayHours,
  })
  .map(({ named, other }): Both<unknown, unknown> => ({
    words: {
      ...Object.fromEntries(Object.entries(named).map(([day, { words }]) => [day, words])),
      'other days': other.words,
    },
    means: DAYS.map((day) => (named[day] ?? other).means),
  }));

/** What a kitchen says of hours and nights, and what that means in the model. */
export const hoursAndNights: fc.Arbitrary<Both<Record<string, unknown>, Record<string, unknown>>> = fc.oneof(
  fc
    .oneof(sameEveryDay, byTheDay)
    .map(({ words, means }) => ({ words: { hours: words }, means: { hours: means } })),
  fc.constantFrom({ words: {}, means: {} }, { words: { nights: 'allowed' }, means: { nights: 'allowed' } }),
);
