import { describe, expect, test } from 'vitest';
import { courseOf, createPlayedRun, play, playReal, windowsOf } from '../../src/rehearsal/index.ts';
import { smallRun } from './small-run.ts';

describe('a small service', () => {
  const course = courseOf(smallRun);

  test('its windows, in the words of the plan', () => {
    expect(windowsOf(course).map(({ kind, words }) => `${kind}: ${words}`)).toEqual([
      'within: cream: chill may wait 5 min after cook',
      'within: buns: bake may wait 20 min after knead',
      'service: Small served in time',
    ]);
  });

  test('played, it is as the bench has it', () => {
    const [fast, real] = [createPlayedRun(course), createPlayedRun(course)];
    for (let seed = 0; seed < 20; seed += 1) {
      play(course, seed, fast);
      const end = playReal(course, seed, real);
      expect(end.ended).toBe('served');
      expect(fast).toEqual(real);
    }
  });
});
