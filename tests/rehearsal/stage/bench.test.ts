import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { loadWorkload } from '../../../src/plan/index.ts';
import { planDemonstration, type Rundown } from '../../../src/planner/index.ts';
import { playEvening } from '../../../src/rehearsal/stage/evening.ts';
import { USUAL_PRESENTER } from '../../../src/rehearsal/stage/presenter.ts';
import { showOf } from '../../../src/rehearsal/stage/show.ts';
import { epochMs } from '../../../src/units/index.ts';
import { kitchenFile } from '../../demo-plans/demo-plans.ts';
import { readyForAir, shownOnBench } from '../../support/air-on-bench.ts';

/*
 * Evenings are played by a simulation of their own, some hundred times as fast as the bench. It is held to the real bench and its
 * simulated presenter and helper here: same seed, same moments at which each showing begins and ends.
 */

const FOLDER = new URL('../../../plans/demonstrations/', import.meta.url);

function rundownOf(name: string): Rundown {
  const file = `${name}.yaml`;
  const bytes = new Uint8Array(readFileSync(fileURLToPath(new URL(file, FOLDER))));
  const { workload } = loadWorkload([{ file, bytes }], { findKitchen: kitchenFile, timeZone: 'UTC' });
  if (!workload) throw new Error(`${file} has no workload`);
  const at = epochMs(Date.UTC(2027, 2, 5, 20));
  const result = planDemonstration(workload, { when: { kind: 'on air', at } });
  if (result.status !== 'solved') throw new Error(`${file} is not solved`);
  return result.rundown;
}

/** By how much, in ms, the end of each evening differs, and the seeds of evenings of which any showing does. */
function compared(
  name: string,
  seeds: number,
): { readonly apart: number; readonly other: readonly number[] } {
  const rundown = rundownOf(name);
  const [show, from] = [showOf(rundown), readyForAir(rundown)];
  let apart = 0;
  const other: number[] = [];
  for (let seed = 1; seed <= seeds; seed += 1) {
    const bench = shownOnBench(from, seed);
    const played = playEvening(show, seed, USUAL_PRESENTER, true).showings.map(
      ({ start, end }) => [start - rundown.begins, end - rundown.begins] as const,
    );
    if (JSON.stringify(bench) !== JSON.stringify(played)) other.push(seed);
    apart = Math.max(apart, Math.abs((bench.at(-1)?.[1] ?? NaN) - (played.at(-1)?.[1] ?? NaN)));
  }
  return { apart, other };
}

// Each is planned first, which takes a second or two.
const LONG = 60_000;

test(
  'with one pair of hands an evening goes as on the real bench, to the millisecond',
  () => {
    expect(compared('harvest-galettes', 10)).toEqual({ apart: 0, other: [] });
  },
  LONG,
);

test(
  'with a helper nearly all do; where the bench holds back what would be ready too early, the end is near',
  () => {
    const { apart, other } = compared('lamplight-choux', 6);
    expect(other.length).toBeLessThanOrEqual(1);
    expect(apart).toBeLessThanOrEqual(30_000);
  },
  LONG,
);
