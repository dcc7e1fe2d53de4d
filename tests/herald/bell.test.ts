import { expect, test } from 'vitest';
import type { Effect, Priority } from '../../src/bench/index.ts';
import { bellPattern, bellRinger, type Noises } from '../../src/herald/index.ts';

const ring = (key: string, priority: Priority): Effect => ({
  kind: 'ring',
  key,
  nth: 1,
  priority,
  text: key,
});
const hush = (key: string): Effect => ({ kind: 'hush', key });

/** A ringer on a clock of the test: `strokes` are the moments at which the bell was struck. */
function scene(): { ringer: Noises; strokes: number[]; advance: (ms: number) => void } {
  const strokes: number[] = [];
  let now = 0;
  let due: { at: number; act: () => void }[] = [];
  const ringer = bellRinger(
    () => strokes.push(now),
    (afterMs, act) => {
      const entry = { at: now + afterMs, act };
      due.push(entry);
      return () => (due = due.filter((other) => other !== entry));
    },
  );
  return {
    ringer,
    strokes,
    advance(ms) {
      const end = now + ms;
      for (;;) {
        const [next] = due.filter(({ at }) => at <= end).toSorted((a, b) => a.at - b.at);
        if (next === undefined) break;
        now = next.at;
        due = due.filter((entry) => entry !== next);
        next.act();
      }
      now = end;
    },
  };
}

test('ten strokes as three and two twice, three slower ones, or one', () => {
  const gaps = (priority: Priority): number[] => {
    const pattern = bellPattern(priority);
    return pattern.slice(1).map((at, index) => at - (pattern[index] ?? 0));
  };
  expect(gaps('high')).toEqual([350, 350, 550, 350, 1000, 350, 350, 550, 350]);
  expect(gaps('medium')).toEqual([600, 600]);
  expect(gaps('low')).toEqual([]);
});

test('a ring sounds at once, with its pattern', () => {
  const { ringer, strokes, advance } = scene();
  ringer.take([ring('a', 'high')]);
  advance(5000);
  expect(strokes).toEqual([...bellPattern('high')]);
});

test('one noise at a time: the most urgent next, after a pause', () => {
  const { ringer, strokes, advance } = scene();
  ringer.take([ring('a', 'low')]);
  ringer.take([ring('b', 'low'), ring('c', 'high')]);
  advance(10_000);
  // a; a second's pause; c; a second's pause; b.
  expect(strokes).toEqual([0, ...bellPattern('high').map((at) => 1000 + at), 6200]);
});

test('many of one priority are one noise', () => {
  const { ringer, strokes, advance } = scene();
  ringer.take(Array.from({ length: 10 }, (_, n) => ring(`call ${n}`, 'medium')));
  advance(10_000);
  expect(strokes).toEqual([0, 600, 1200]);
});

test('what is hushed is not rung, and falls silent where it rings', () => {
  const { ringer, strokes, advance } = scene();
  ringer.take([ring('a', 'high'), ring('b', 'medium')]);
  ringer.take([hush('b')]);
  advance(100);
  ringer.take([hush('a')]);
  advance(10_000);
  expect(strokes).toEqual([0]);
});

test('a noise of several goes on until all of them are hushed', () => {
  const { ringer, strokes, advance } = scene();
  ringer.take([ring('a', 'high'), ring('b', 'high')]);
  ringer.take([hush('a')]);
  advance(10_000);
  expect(strokes).toEqual([...bellPattern('high')]);
});

test('the same ring twice while it waits is once', () => {
  const { ringer, strokes, advance } = scene();
  ringer.take([ring('first', 'low')]);
  ringer.take([ring('a', 'low')]);
  ringer.take([ring('a', 'low')]);
  advance(10_000);
  expect(strokes).toEqual([0, 1000]);
});

test('stopping is silence', () => {
  const { ringer, strokes, advance } = scene();
  ringer.take([ring('a', 'high'), ring('b', 'low')]);
  ringer.stop();
  advance(10_000);
  expect(strokes).toEqual([0]);
  ringer.take([ring('c', 'low')]);
  expect(strokes).toEqual([0, 10_000]);
});
