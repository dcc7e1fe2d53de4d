import { expect, test } from 'vitest';
import { nextChange, outlook, paceOf, type OnAir } from '../../../src/planner/index.ts';
import { plus } from '../../../src/units/index.ts';
import { lantern, ON_AIR } from '../../support/small-rundown.ts';

const opening: OnAir = { now: ON_AIR, begun: ON_AIR, showing: 0, since: ON_AIR, lengths: {} };

test('each showing with what it may be cut and stretched to, and what it waits for off view', () => {
  const { slots, ...rest } = paceOf(lantern);
  expect(rest).toEqual({ lasts: 480, within: 30 });
  expect(
    slots.map(({ id, length, shortest, longest, worth }) => [id, length, shortest, longest, worth].join(' ')),
  ).toEqual([
    'stage.welcome 60 30 90 talk',
    'shells.pipe 40 20 60 part',
    'stage.why 100 60 150 talk',
    'cream A.whip 90 90 90 whole',
    'stage.film 70 40 90 talk',
    'shells.bake end 30 30 30 part',
    'shells.fill 50 30 60 part',
    'cones B.plate 40 20 60 beauty',
  ]);
  // Piping goes on off view for 80 s, and the baking takes 180 s.
  expect(slots.filter(({ waits }) => waits.length > 0).map(({ id, waits }) => [id, waits])).toEqual([
    ['shells.bake end', [{ after: 1, for: 260 }]],
  ]);
});

test('as it is planned, it ends in time and nothing is waited for', () => {
  const going = outlook(paceOf(lantern), opening);
  expect(going.over).toBe(0);
  expect(going.slots.map(({ start }) => start)).toEqual(lantern.showings.map(({ start }) => start));
});

test('what is cut before the oven is done gives nothing: the cut that helps comes after it', () => {
  const pace = paceOf(lantern);
  // The whipping began in time and is not over at 5:45 on air, 55 s late.
  const onAir: OnAir = {
    ...opening,
    now: plus(ON_AIR, 345),
    showing: 3,
    since: plus(ON_AIR, 200),
    ended: { 1: plus(ON_AIR, 100) },
  };
  expect(outlook(pace, onAir).over).toBe(55);
  expect(nextChange(pace, onAir)).toMatchObject({ showing: 'stage.film', from: 70, to: 40, gives: 30 });
  // Where the bench sees that the bake is late, the break is as good long as short.
  const late = { ...onAir, ready: { 'shells.bake end': plus(ON_AIR, 420) } };
  expect(outlook(pace, late).over).toBe(60);
  expect(nextChange(pace, late)).toMatchObject({ showing: 'shells.fill', to: 30, gives: 20 });
});
