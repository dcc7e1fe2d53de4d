import { mkdirSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { bodyAfter } from '../src/heat/index.ts';
import { chance } from '../src/rehearsal/chance.ts';
import { celsius } from '../src/units/index.ts';

/*
 * Writes the recorded feeds of tests/feeds: lines as programs write them, with the seconds at which they came before each.
 * They are simulated (every one from seed 4), with the noise, the spikes and the gaps of real ones.
 *
 *   node scripts/record-feeds.ts
 */
const SEED = 4;
const folder = fileURLToPath(new URL('../tests/feeds/', import.meta.url));
mkdirSync(folder, { recursive: true });

const noise = (about: string, index: number, spread: number): number => {
  const [a, b] = [chance(SEED, about, 'a', index), chance(SEED, about, 'b', index)];
  return spread * Math.sqrt(-2 * Math.log(1 - a)) * Math.cos(2 * Math.PI * b);
};
const write = (name: string, lines: readonly string[]): void =>
  writeFileSync(`${folder}${name}`, `${lines.join('\n')}\n`);
const at = (second: number, line: string): string => `${second} ${line}`;

/** A cream from the hob over ice and into the fridge: read every two seconds, stirred, twice touched to the bowl's wall. */
function coolingCream(): string[] {
  return Array.from({ length: 2400 }, (_, index) => {
    const second = index * 2;
    const body =
      second < 1500
        ? bodyAfter(celsius(82), celsius(2), 900, second)
        : bodyAfter(bodyAfter(celsius(82), celsius(2), 900, 1500), celsius(4), 4200, second - 1500);
    const touch = (second >= 400 && second < 404) || (second >= 900 && second < 903) ? -30 : 0;
    return at(second, `cream ${(body + touch + noise('cream', index, 0.15)).toFixed(1)} C`);
  });
}

/** An oven that heats, overshoots, swings, and is opened once; in Fahrenheit, as JSON. */
function cyclingOven(): string[] {
  return Array.from({ length: 700 }, (_, index) => {
    const second = index * 5;
    const heating = 200 - 180 * Math.exp(-second / 420);
    const over = second > 900 ? 25 * Math.exp(-(second - 900) / 500) : 0;
    const swing = second > 900 ? 9 * Math.sin(second / 105) : 0;
    const opened = second > 2400 && second < 2600 ? -45 * Math.exp(-(second - 2400) / 60) : 0;
    const air = heating + over + swing + opened + noise('oven', index, 1);
    return at(
      second,
      JSON.stringify({ probe: 'oven air', value: Math.round(air * 18 + 320) / 10, unit: 'F' }),
    );
  });
}

/** A probe whose lead is broken: nonsense, then one figure for ever, then nothing, then right again. */
function brokenProbe(): string[] {
  const lines: string[] = [];
  for (let second = 0; second < 3000; second += 5) {
    const body = 60 * Math.exp(-second / 2400) + 4;
    if (second < 600) lines.push(at(second, `cream ${body.toFixed(1)}`));
    else if (second < 900)
      lines.push(
        at(second, `cream ${chance(SEED, 'broken', second) < 0.5 ? '-127.0' : (body + 60).toFixed(1)}`),
      );
    else if (second < 1500) lines.push(at(second, 'cream 4.9'));
    else if (second >= 2100) lines.push(at(second, `cream ${body.toFixed(1)}`));
  }
  return lines;
}

/** A second of a flood: ten thousand lines, some of them rubbish. */
function flood(): string[] {
  return Array.from({ length: 10_000 }, (_, index) =>
    at(
      0,
      index % 97 === 0 ? `rubbish \\u0007 ${index}` : `cream ${(50 + noise('flood', index, 2)).toFixed(2)}`,
    ),
  );
}

write('cooling-cream.txt', coolingCream());
write('cycling-oven.txt', cyclingOven());
write('broken-probe.txt', brokenProbe());
write('flood.txt', flood());
