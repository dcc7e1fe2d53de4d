import { parseArgs } from 'node:util';
import { predict, hearProbe, usualProbe, type ProbeTrack } from '../src/heat/index.ts';
import { chance } from '../src/rehearsal/chance.ts';
import { FAMILIES, curveOf, type Family } from '../tests/support/cooling-curves.ts';

/*
 * How honest the ranges of cooling predictions are: over simulated bodies, asked at a random moment, the share of 80 % ranges
 * that hold the true moment; how wide they are; and how often a prediction is refused.
 *
 *   npm run bench:heat -- [--curves 1000] [--seed 1] [--json]
 */
const { values } = parseArgs({
  options: {
    curves: { type: 'string', default: '1000' },
    seed: { type: 'string', default: '1' },
    json: { type: 'boolean', default: false },
  },
});

interface Tally {
  asked: number;
  refused: number;
  within: number;
  early: number;
  widths: number[];
}

const tally = (): Tally => ({ asked: 0, refused: 0, within: 0, early: 0, widths: [] });

function ask(family: Family, seed: number, into: readonly Tally[]): void {
  const curve = curveOf(family, seed);
  const probe = usualProbe('probe');
  const whole = curve.samples.length;
  const until = Math.max(2, Math.floor(whole * (0.15 + 0.75 * chance(seed, family, 'asked'))));
  let track: ProbeTrack | undefined;
  for (const sample of curve.samples.slice(0, until)) track = hearProbe(track, probe, sample, false).track;
  const prediction = predict({
    samples: track?.samples ?? [],
    since: curve.since,
    surroundings: curve.believed,
    goal: curve.goal,
  });
  for (const each of into) {
    each.asked += 1;
    if (prediction.kind === 'refused') each.refused += 1;
    if (prediction.kind !== 'expected') continue;
    const { low, high } = prediction;
    const now = curve.samples[until - 1]?.at ?? curve.since;
    if (curve.reached < low) each.early += 1;
    else if (curve.reached <= high) each.within += 1;
    each.widths.push((high - low) / Math.max(1, curve.reached - now));
  }
}

const all = tally();
const rows = FAMILIES.map((family) => {
  const own = tally();
  for (let curve = 0; curve < Number(values.curves); curve += 1)
    ask(family, Number(values.seed) * 1_000_003 + curve, [own, all]);
  return { family, ...summary(own) };
});
const table = [...rows, { family: 'all', ...summary(all) }];

function summary({ asked, refused, within, early, widths }: Tally) {
  const said = widths.length;
  const sorted = widths.toSorted((a, b) => a - b);
  const percent = (count: number, of: number): number => Math.round((1000 * count) / Math.max(1, of)) / 10;
  return {
    asked,
    'refused %': percent(refused, asked),
    'within %': percent(within, said),
    'earlier %': percent(early, said),
    'later %': percent(said - within - early, said),
    'width / time left': Math.round(100 * (sorted[Math.floor(said / 2)] ?? 0)) / 100,
  };
}

if (values.json) process.stdout.write(`${JSON.stringify(table)}\n`);
else
  // oxlint-disable-next-line no-console
  console.table(table);
