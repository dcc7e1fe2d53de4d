import { describe, expect, test } from 'vitest';
import type { RunSetup } from '../../src/bench/index.ts';
import type { Workload } from '../../src/plan/index.ts';
import { planTimetable } from '../../src/planner/index.ts';
import { studied, worker, type Report, type StudyOptions } from '../../src/rehearsal/index.ts';
import { benchedOf } from '../../src/rehearsal/report/study.ts';
import { epochMs, plus, type EpochMs } from '../../src/units/index.ts';
import { step, workload } from '../support/workloads.ts';
import { NOON } from './small-run.ts';

const report = (setup: RunSetup, options: Partial<StudyOptions> = {}): Report =>
  studied(setup, { runs: 300, seed: 1, ...options }, worker(setup, options));

/** A setup for which the planner makes the timetable. */
function planned(of: Workload, service: EpochMs = plus(NOON, 6 * 3600)): RunSetup {
  const result = planTimetable(of, { service: { kind: 'at', moments: of.plans.map(() => service) } });
  if (!('timetable' in result)) throw new Error(`no timetable: ${result.status}`);
  const { timetable } = result;
  const begunAt = epochMs(
    Math.min(...timetable.steps.map(({ start }) => start), ...timetable.settings.map(({ at }) => at)),
  );
  return { run: 'report', workload: of, timetable, begunAt };
}

test.each([
  [1, 12],
  [300, 15],
  [1000, 50],
  [10_000, 50],
  [100_000, 159],
  [1_000_000, 500],
])('of %i that want a new timetable %i at most are played on the real bench', (runs, most) => {
  expect(benchedOf(runs)).toBe(most);
});

describe('a chance that is known', () => {
  /* One step from 10 to 20 min, usually 14: it is begun 2 to 20 s after its call and ended as long after nature is done. */
  const [low, usual, high] = [600, 840, 1200];
  const setup = planned(
    workload({
      components: {
        dough: [step('knead', { takes: ['10 min', '20 min'], usually: '14 min', hands: 'busy' })],
      },
    }),
  );

  /** The chance that two delays and a triangular length last no longer than `allowed`, by adding up all cases. */
  function readyWithin(allowed: number): number {
    const delays = new Map<number, number>();
    for (let seconds = 2; seconds <= 20; seconds += 1)
      delays.set(seconds, (seconds === 2 || seconds === 20 ? 0.5 : 1) / 18);
    const below = (length: number): number => {
      if (length <= low) return 0;
      if (length >= high) return 1;
      return length < usual
        ? (length - low) ** 2 / ((high - low) * (usual - low))
        : 1 - (high - length) ** 2 / ((high - low) * (high - usual));
    };
    let sum = 0;
    for (const [one, a] of delays)
      for (const [other, b] of delays) sum += a * b * below(allowed - one - other + 0.5);
    return sum;
  }

  const runs = 2000;
  const found = report(setup, { runs, life: 'plain' });

  test('is found, within its interval and three standard errors', () => {
    const exact = readyWithin(usual + 59);
    const { onTime } = found;
    expect(exact).toBeGreaterThan(0.4);
    expect(Math.abs(onTime.share - exact)).toBeLessThan(3 * Math.sqrt((exact * (1 - exact)) / runs));
    expect(onTime.low).toBeLessThan(exact);
    expect(onTime.high).toBeGreaterThan(exact);
  });

  test('and so is the latest beginning: by as much earlier as the tail is long', () => {
    for (const { percent, earlier, verified } of found.latestStarts) {
      const exact = readyWithin(usual + earlier.value);
      expect(exact).toBeGreaterThan(percent / 100 - 0.03);
      expect(readyWithin(usual + earlier.value - 60)).toBeLessThan(percent / 100 + 0.02);
      const error = Math.sqrt((Math.max(0.01, 1 - exact) * exact) / 500);
      expect(Math.abs((verified?.share ?? 0) - exact)).toBeLessThan(3 * error);
    }
  });

  test('all blame is on the only step there is, and a minute less of it buys a minute', () => {
    const { blame } = found;
    expect(blame).toMatchObject({ of: 'late', steps: [{ step: 'dough.knead', onPath: 1, added: 1 }] });
    expect(blame.steps[0]?.correlation).toBeGreaterThan(0.98);
    expect(blame.steps[0]?.minuteLess?.sooner).toBeCloseTo(60, 0);
    expect(blame.steps[0]?.minuteLess?.onTime.low).toBeGreaterThan(0);
  });
});

describe('a plan with a planted weakness', () => {
  /* Whoever chops nuts cannot pour the batter, which may wait two minutes; all else has time to spare. */
  const fragile = planned(
    workload({
      makes: 10,
      margin: '40 min',
      components: {
        batter: [
          step('whisk', { takes: ['5 min', '9 min'], usually: '6 min', hands: 'near' }),
          step('pour', { takes: '4 min', hands: 'busy', within: '2 min' }),
          step('set', { rest: ['30 min', '3 h'], within: '30 min' }),
        ],
        nuts: [
          step('toast', { takes: ['6 min', '8 min'], hands: 'near' }),
          step('chop', { takes: ['6 min', '8 min'], hands: 'busy', within: '30 min' }),
        ],
        cups: [step('serve up', { takes: '2 min', hands: 'busy', needs: ['batter', 'nuts'], within: '3 h' })],
      },
    }),
  );
  const busyBefore: RunSetup = {
    ...fragile,
    timetable: {
      ...fragile.timetable,
      // The nuts are chopped just when the batter is usually whisked.
      steps: fragile.timetable.steps
        .map((own) => {
          const whisked = fragile.timetable.steps.find(({ step: id }) => id === 'batter.whisk')?.end ?? 0;
          const at = (minutes: number): EpochMs => epochMs(whisked + minutes * 60_000);
          if (own.step === 'nuts.toast') return { ...own, start: at(-8), end: at(-1) };
          if (own.step === 'nuts.chop')
            return { ...own, start: at(-1), end: epochMs(at(-1) + own.end - own.start) };
          return own;
        })
        .toSorted((a, b) => a.start - b.start),
    },
  };

  test('names it first, and what helps against it', () => {
    const { windows, clashes, changes, best, got } = report(busyBefore, { runs: 300 });
    expect(windows[0]).toMatchObject({ kind: 'within', steps: ['batter.whisk', 'batter.pour'] });
    expect(windows[0]?.broken.low).toBeGreaterThan(0.03);
    expect(clashes).toContainEqual(
      expect.objectContaining({ kind: 'hands', step: 'batter.pour', behind: 'nuts.chop' }),
    );
    expect(best?.words).toBe(changes[0]?.words);
    expect(best?.well.difference.low).toBeGreaterThan(0);
    expect(best?.well).not.toEqual(changes[0]?.well);
    for (const words of [
      'if batter: pour might wait 7 min instead of 2 min',
      'with one more pair of hands',
    ]) {
      const helps = changes.find((change) => change.words === words);
      expect(helps?.well.difference.low).toBeGreaterThan(0);
      expect(helps?.well.with).toBeGreaterThan(helps?.well.without ?? 1);
    }
    expect(got.compared).toBe(300);
  });
});

describe('who is to blame', () => {
  const blamed = (components: Parameters<typeof workload>[0]['components']): Report =>
    report(planned(workload({ components })), { life: 'plain' });

  test('not a rest that only waited to be taken out, but what it waited for', () => {
    const { blame } = blamed({
      mousse: [step('set', { rest: ['1 h', '20 h'] })],
      glaze: [step('temper', { takes: ['5 min', '60 min'], usually: '10 min' })],
      cake: [step('pour', { takes: '2 min', hands: 'busy', needs: ['mousse', 'glaze'] })],
    });
    expect(blame.of).toBe('late');
    expect(blame.steps[0]).toMatchObject({ step: 'glaze.temper', onPath: 1 });
    expect(blame.steps[0]?.added).toBeGreaterThan(0.95);
    expect(blame.steps.find(({ step: id }) => id === 'mousse.set')).toMatchObject({ onPath: 0, added: 0 });
  });

  test('a rest that was begun late, which passes the blame on to what was before it', () => {
    const { blame } = blamed({
      mousse: [
        step('fold', { takes: ['5 min', '60 min'], usually: '10 min', hands: 'busy' }),
        step('set', { rest: ['1 h', '20 h'] }),
        step('pour', { takes: '2 min', hands: 'busy' }),
      ],
    });
    expect(blame.steps[0]).toMatchObject({ step: 'mousse.fold' });
    expect(blame.steps[0]?.added).toBeGreaterThan(0.95);
    expect(blame.steps.find(({ step: id }) => id === 'mousse.set')?.onPath).toBe(1);
  });

  test('not the cook, for the time that a step has to be left alone', () => {
    const { blame } = blamed({
      cake: [
        step('bake', { takes: ['20 min', '40 min'], usually: '22 min' }),
        step('slice', { takes: '2 min', hands: 'busy', after: '15 min' }),
      ],
    });
    expect(blame.steps[0]).toMatchObject({ step: 'cake.bake' });
    expect(blame.steps[0]?.added).toBeGreaterThan(0.95);
  });
});

test('the same seeds give the same report, in whatever pieces it is worked out', () => {
  const setup = planned(
    workload({
      components: {
        cream: [step('cook', { takes: ['8 min', '14 min'], hands: 'busy' })],
        buns: [
          step('knead', { takes: ['5 min', '8 min'], hands: 'busy' }),
          step('fill', { takes: '6 min', hands: 'busy', needs: ['cream'] }),
        ],
      },
    }),
  );
  const options = { runs: 700, seed: 40 };
  const [one, two] = [worker(setup), worker(setup)];
  let turn = 0;
  const alternating = studied(setup, options, (job) => ((turn += 1) % 2 === 0 ? one : two)(job));
  expect(alternating).toEqual(report(setup, options));
  expect(report(setup, { ...options, seed: 41 })).not.toEqual(alternating);
});
