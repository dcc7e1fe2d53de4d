import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { apply, begin, type BenchState } from '../../src/bench/index.ts';
import { readingFrom, type FedReading } from '../../src/feed/reading-line.ts';
import { thinner } from '../../src/feed/thinner.ts';
import { componentId, stepId, type Trigger } from '../../src/plan/index.ts';
import { planTimetable } from '../../src/planner/index.ts';
import { celsius, plus, seconds, temperatureOf, type EpochMs } from '../../src/units/index.ts';
import { moment, step, workload } from '../support/workloads.ts';

/*
 * Recorded feeds, lived by a bench as the keeper would bring them: read, thinned, judged. (scripts/record-feeds.ts wrote
 * them.)
 */
const NOON = moment('2027-05-14 12:00');
const CHILL = stepId(componentId('cream'), 'chill');

const probe = (goal: Extract<Trigger, { kind: 'probe' }>['goal'], lasting = 10): Trigger => ({
  kind: 'probe',
  probe: 'cream',
  goal,
  lasting: seconds(lasting),
});

function startedRun(until: Trigger): BenchState {
  const made = workload({
    components: { cream: [step('chill', { takes: ['5 min', '3 h'], until, uses: ['fridge shelf'] })] },
  });
  const result = planTimetable(made, { service: { kind: 'at', moments: [moment('2027-05-14 18:00')] } });
  if (!('timetable' in result)) throw new Error(result.status);
  const setup = { run: 'r', workload: made, timetable: result.timetable, begunAt: NOON };
  return apply(begin(setup), { id: 's', time: NOON, source: 'cook', kind: 'start', step: CHILL, at: NOON })
    .state;
}

interface Played {
  readonly state: BenchState;
  readonly used: readonly { readonly at: EpochMs; readonly reading: FedReading }[];
  readonly refused: number;
}

/** Lives a recording from its start, but for the lines that `keeps` leaves out, until `last` seconds of it. */
function play(
  name: string,
  from: BenchState,
  {
    keeps = (): boolean => true,
    last = Infinity,
  }: { keeps?: (index: number) => boolean; last?: number } = {},
): Played {
  const path = fileURLToPath(new URL(`../feeds/${name}`, import.meta.url));
  const used: { at: EpochMs; reading: FedReading }[] = [];
  let [state, refused, now, count] = [from, 0, NOON, 0];
  const thin = thinner(
    (reading) => {
      used.push({ at: now, reading });
      count += 1;
      const { temperature } = reading;
      const outcome = apply(state, {
        id: `r${count}`,
        time: now,
        source: 'probe',
        kind: 'reading',
        probe: reading.probe,
        temperature,
      });
      state = outcome.state;
    },
    new Set(['cream']),
  );
  for (const [index, line] of readFileSync(path, 'utf8').trimEnd().split('\n').entries()) {
    const space = line.indexOf(' ');
    const second = Number(line.slice(0, space));
    if (second > last) break;
    if (!keeps(index)) continue;
    now = plus(NOON, second);
    thin.turn(now);
    const reading = readingFrom(line.slice(space + 1));
    if (reading) thin.take(reading, now);
    else refused += 1;
  }
  return { state, used, refused };
}

const run = ({ state }: Played) => state.components[0]?.steps[0];

describe('recorded feeds', () => {
  test('a cooling cream ends its step when it is truly cold, whatever was touched on the way', () => {
    const played = play(
      'cooling-cream.txt',
      startedRun(probe({ kind: 'falls to', to: temperatureOf(30, 'C') })),
    );
    const ended = run(played);
    if (ended?.state !== 'ended') throw new Error('not ended');
    expect(ended.by).toBe('probe');
    // 82 C over ice of 2 C with 15 min: 30 C after 900 ln(80 / 28) s. The spikes at 400 s read colder than that.
    const truth = plus(NOON, 900 * Math.log(80 / 28));
    expect(ended.endedAt - truth).toBeGreaterThan(0);
    expect(ended.endedAt - truth).toBeLessThan(40_000);
    expect(played.used.length).toBeLessThan(2400 / 2);
  });

  test('whichever of its readings are lost, no step ends before the cream is truly there', () => {
    const goal = fc.integer({ min: 35, max: 70 });
    const lost = fc.record({ every: fc.integer({ min: 1, max: 9 }), from: fc.nat(500), length: fc.nat(60) });
    let ends = 0;
    fc.assert(
      fc.property(goal, lost, (to, { every, from, length }) => {
        const keeps = (index: number): boolean =>
          index % every === 0 && (index < from || index >= from + length);
        const until = probe({ kind: 'falls to', to: temperatureOf(to, 'C') });
        const ended = run(play('cooling-cream.txt', startedRun(until), { keeps, last: 1200 }));
        const endedAt = ended?.state === 'ended' ? ended.endedAt : Infinity;
        ends += endedAt < Infinity ? 1 : 0;
        // Half a degree early at most: the noise of this probe.
        expect(endedAt).toBeGreaterThan(plus(NOON, 900 * Math.log(80 / (to + 0.5 - 2))));
      }),
      { seed: 4_104, numRuns: 12 },
    );
    expect(ends).toBeGreaterThan(6);
  });

  test('its prediction, made half-way, holds', () => {
    const played = play(
      'cooling-cream.txt',
      startedRun(probe({ kind: 'falls to', to: temperatureOf(5, 'C') })),
    );
    expect(run(played)?.state).toBe('running');
    expect(played.state.probes[0]?.track.samples.length).toBeGreaterThan(20);
  });

  test('an oven that cycles is read in Fahrenheit, and a bench of cream does not care', () => {
    const played = play(
      'cycling-oven.txt',
      startedRun(probe({ kind: 'falls to', to: temperatureOf(5, 'C') })),
    );
    expect(played.refused).toBe(0);
    expect(run(played)?.state).toBe('running');
    expect(played.state.probes.map(({ probe: name }) => name)).toEqual(['oven air']);
    const highest = Math.max(...played.used.map(({ reading }) => reading.temperature.celsius));
    expect(highest).toBeGreaterThan(205);
    expect(highest).toBeLessThan(235);
  });

  test('a broken probe ends nothing while it is broken, its faults are told, and it is believed again when it is right', () => {
    const played = play(
      'broken-probe.txt',
      startedRun(probe({ kind: 'falls to', to: temperatureOf(5, 'C') })),
    );
    const ended = run(played);
    // The figure it stood at would have been cold enough; the body was not.
    const endedAt = ended?.state === 'ended' ? ended.endedAt : Infinity;
    expect(endedAt).toBeGreaterThan(plus(NOON, 2100));
    const said = played.state.log.map(({ text }) => text).join('\n');
    expect(said).toMatch(/outside what this probe can read|too sudden to be believed/);
    const [track] = played.state.probes;
    expect(track?.track.fault).toBeUndefined();
    expect(track?.temperature.celsius).toBeLessThan(celsius(35));
  });

  test('a flood is thinned to what a bench can use, and counted', () => {
    const played = play('flood.txt', startedRun(probe({ kind: 'falls to', to: temperatureOf(5, 'C') })));
    expect(played.used).toHaveLength(1);
    expect(played.refused).toBe(Math.ceil(10_000 / 97));
  });
});
