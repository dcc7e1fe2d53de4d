import { describe, expect, test } from 'vitest';
import type { Playing, Rehearsing } from '../../src/board/rehearsing.ts';
import { SCENES } from '../support/scenes.ts';
import { screens } from '../support/screens.ts';

const SIZES = ['60x20', '80x24', '120x40', '200x60'];

describe('the board', () => {
  for (const [name, scene] of Object.entries(SCENES))
    test.each(SIZES)(`${name} at %s`, async (size) => {
      const { seen, kept } = await screens(name, scene, size);
      expect(seen).toBe(kept);
    });
});

describe('its pages', () => {
  const scene = SCENES['oven-clash'];
  const due = SCENES['call-due'];
  if (!scene || !due) throw new Error('scenes are missing');
  test.each(SIZES)('far view at %s', async (size) => {
    const { seen, kept } = await screens('far', due, size, 'v');
    expect(seen).toBe(kept);
  });
  test.each(['60x20', '80x24', '120x40'])('help at %s', async (size) => {
    const { seen, kept } = await screens('help', scene, size, '?');
    expect(seen).toBe(kept);
  });
  test.each(['60x20', '80x24'])('alarms at %s', async (size) => {
    const { seen, kept } = await screens('alarms', scene, size, 'a');
    expect(seen).toBe(kept);
  });
  test.each(['60x20', '80x24'])('what was set aside at %s', async (size) => {
    const aside = SCENES['set-aside'];
    if (!aside) throw new Error('scenes are missing');
    const { seen, kept } = await screens('aside', aside, size, 'a');
    expect(seen).toBe(kept);
  });
  test.each(['40x10', '80x24'])('setting an alarm aside at %s', async (size) => {
    const { seen, kept } = await screens('aside-choice', scene, size, 'w');
    expect(seen).toBe(kept);
  });
  test.each(['40x10', '60x20', '80x24'])('three ways out at %s', async (size) => {
    const ways = SCENES['three-ways'];
    if (!ways) throw new Error('scenes are missing');
    const { seen, kept } = await screens('ways', ways, size, 'n');
    expect(seen).toBe(kept);
  });
  test.each(['40x10', '60x20', '80x24', '120x40'])('temperatures at %s', async (size) => {
    const cooling = SCENES['cooling-cream'];
    if (!cooling) throw new Error('scenes are missing');
    const { seen, kept } = await screens('temperatures', cooling, size, 'p');
    expect(seen).toBe(kept);
  });
  test('temperatures after a missed limit at 80x24', async () => {
    const missed = SCENES['cooling-missed'];
    if (!missed) throw new Error('scenes are missing');
    const { seen, kept } = await screens('temperatures-missed', missed, '80x24', 'p');
    expect(seen).toBe(kept);
  });
  test('log at 80x24', async () => {
    const gap = SCENES['after-gap'];
    // The first key only leaves what is told to somebody who comes back.
    if (!gap) throw new Error('scenes are missing');
    const { seen, kept } = await screens('log', gap, '80x24', ' l');
    expect(seen).toBe(kept);
  });
  test('a second press at 80x24', async () => {
    const { seen, kept } = await screens('prompt', due, '80x24', 'r');
    expect(seen).toBe(kept);
  });
  test.each(['60x20', '80x24', '120x40'])('a new timetable in full at %s', async (size) => {
    const moved = SCENES['offer-moved'];
    if (!moved) throw new Error('scenes are missing');
    const { seen, kept } = await screens('offer', moved, size, 'n');
    expect(seen).toBe(kept);
  });
  test('a new timetable in the far view at 80x24', async () => {
    const kept = SCENES['offer-kept'];
    if (!kept) throw new Error('scenes are missing');
    const shot = await screens('offer-far', kept, '80x24', 'v');
    expect(shot.seen).toBe(shot.kept);
  });
  test('a new timetable at 40x10', async () => {
    const moved = SCENES['offer-moved'];
    if (!moved) throw new Error('scenes are missing');
    const { seen, kept } = await screens('offer-least', moved, '40x10');
    expect(seen).toBe(kept);
  });
  test('too small at 38x9', async () => {
    const { seen, kept } = await screens('small', due, '38x9');
    expect(seen).toBe(kept);
  });
  test('just large enough at 40x10', async () => {
    const { seen, kept } = await screens('least', due, '40x10');
    expect(seen).toBe(kept);
  });
});

describe('a rehearsal', () => {
  const due = SCENES['call-due'];
  if (!due) throw new Error('scenes are missing');
  const playing = (of: Partial<Playing>): Rehearsing => ({
    playing: () => ({ speed: 60, stopped: false, hands: 'simulated', sees: [], ...of }),
    control: () => ({ text: '', bad: false }),
    mishaps: () => [
      { what: 'oven: stands 40 C low', faults: [] },
      { what: 'a hand is tied for 5 min', faults: [] },
      { what: 'cream: spoilt, to be made again', faults: [] },
    ],
    choosing: () => undefined,
  });
  test.each(['40x10', '80x24', '120x40'])('goes at %s', async (size) => {
    const { seen, kept } = await screens('rehearsal', due, size, '', playing({}));
    expect(seen).toBe(kept);
  });
  test.each(['40x10', '80x24'])('what can go wrong at %s', async (size) => {
    const { seen, kept } = await screens('rehearsal-wrong', due, size, 'e', playing({}));
    expect(seen).toBe(kept);
  });
  test.each(['60x20', '80x24'])("with one's own hands at %s", async (size) => {
    const sees = [
      'cream: a spoon leaves a clean track',
      'lids: lifts without bending',
      'shells: pipe looks done',
    ];
    const { seen, kept } = await screens(
      'rehearsal-mine',
      due,
      size,
      '',
      playing({ speed: 1, hands: 'mine', sees }),
    );
    expect(seen).toBe(kept);
  });
  test('stands still at 80x24', async () => {
    const { seen, kept } = await screens('rehearsal-stopped', due, '80x24', '', playing({ stopped: true }));
    expect(seen).toBe(kept);
  });
  test('too small at 38x9', async () => {
    const { seen, kept } = await screens('rehearsal-small', due, '38x9', '', playing({ speed: 1 }));
    expect(seen).toBe(kept);
  });
});
