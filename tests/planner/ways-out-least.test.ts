import fc from 'fast-check';
import { expect, test } from 'vitest';
import { least, timeUnit } from '../../src/planner/ways-out/least.ts';
import { longerDay } from '../../src/planner/ways-out/easing.ts';
import { weekWords } from '../../src/planner/words.ts';
import { formatDayHours, hours, minutes, parseDayHours } from '../../src/units/index.ts';

/** What is found where everything from `enough` on works, and how often was asked. */
function found(enough: number, most: number, base = 0, used?: (amount: number) => number) {
  let asked = 0;
  const answer = least<number>({
    works: (amount) => {
      asked += 1;
      return amount >= enough ? amount : undefined;
    },
    most,
    unitOf: timeUnit,
    base,
    ...(used && { used: (_found, amount) => used(amount) }),
  });
  return { amount: answer?.amount, asked };
}

test('the least amount in whole units, which grow with it', () => {
  expect(found(61, hours(12)).amount).toBe(120);
  expect(found(hours(4) + 1, hours(12)).amount).toBe(hours(4) + 300);
  expect(found(hours(20) + 1, hours(48)).amount).toBe(hours(21));
  expect(found(hours(13), hours(12)).amount).toBeUndefined();
});

test('what it is added to comes out round', () => {
  // 7 min 30 s and what is needed: 25 min in all.
  expect(found(minutes(17), hours(12), 450).amount).toBe(25 * 60 - 450);
  expect(found(10, hours(12), 30).amount).toBe(30);
});

test('what was used saves questions: the least is asked for at once, and the one below it', () => {
  expect(found(minutes(26), hours(12), 0, () => minutes(26))).toEqual({ amount: minutes(26), asked: 3 });
});

test('it is always the least, and few questions are asked', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: hours(3) }),
      fc.integer({ min: 0, max: hours(2) }),
      fc.integer({ min: 0, max: 3000 }),
      (enough, base, more) => {
        const { amount = 0, asked } = found(enough, hours(3), base, () => enough + more);
        const unit = 60;
        expect(amount).toBeGreaterThanOrEqual(enough);
        expect(amount - unit).toBeLessThan(enough);
        expect((base + amount) % unit).toBe(0);
        expect(asked).toBeLessThanOrEqual(20);
      },
    ),
    { seed: 20270514 },
  );
});

const day = (text: string) => {
  const read = parseDayHours(text);
  if (!read.ok) throw new Error(read.problem);
  return read.value;
};

test.each([
  ['06:00-22:00', 'before', 90, '04:30-22:00'],
  ['06:00-22:00', 'after', 90, '06:00-23:30'],
  ['06:00-22:00', 'after', 150, '06:00-00:30'],
  ['22:00-06:00', 'after', 60, '22:00-07:00'],
  ['22:00-06:00', 'before', 60, '21:00-06:00'],
  ['01:00-09:00', 'before', 90, '00:00-09:00'],
  ['06:00-22:00', 'after', 600, '06:00-06:00'],
] as const)('%s with time %s: %i min', (hoursOfDay, side, more, longer) => {
  expect(formatDayHours(longerDay(day(hoursOfDay), side, minutes(more)))).toBe(longer);
});

test('a week of working hours in short', () => {
  const work = day('06:00-14:00');
  const short = day('08:00-12:00');
  expect(weekWords([work, work, work, work, work, work, work])).toBe('06:00-14:00');
  expect(weekWords([work, work, work, work, work, short, 'off'])).toBe(
    'Mon-Fri 06:00-14:00, Sat 08:00-12:00',
  );
  expect(weekWords(['off', work, 'off', work, work, work, work])).toBe(
    'Tue 06:00-14:00, Thu-Sun 06:00-14:00',
  );
});
