import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { COOLING_RULES, type CoolingLimit } from '../../src/heat/index.ts';
import { COOLING_RULE_NAMES } from '../../src/plan/index.ts';

const PAGE = readFileSync(new URL('../../docs/cooling-rules.md', import.meta.url), 'utf8');

/** The cells of a set's row in the first table that has one. */
const cellsOf = (name: string): readonly string[] =>
  (PAGE.split('\n').find((line) => line.startsWith(`| \`${name}\` |`)) ?? '')
    .split('|')
    .map((cell) => cell.trim());

const length = (seconds: number): string =>
  seconds % 3600 === 0 ? `${seconds / 3600} h` : `${seconds / 60} min`;

/** A limit's figures in the page's words; the temperature at which the one before ends is not said twice. */
function figures(limit: CoolingLimit, before: CoolingLimit | undefined): string {
  const to = `to ${limit.to} C within ${length(limit.within)}`;
  return limit.from === undefined || limit.from === before?.to ? to : `${limit.from} ${to}`;
}

test.each(COOLING_RULE_NAMES)('the page has the figures of %s, and says where its source is weak', (name) => {
  const rules = COOLING_RULES[name];
  const [, , place, cooked, ambient, held, source] = cellsOf(name);
  expect(place?.replace('and ', '')).toContain(rules.place.split(/,| and /)[0] ?? '');
  for (const [index, limit] of rules.cooked.entries())
    expect(cooked).toContain(figures(limit, rules.cooked[index - 1]));
  expect(ambient).toBe(rules.ambient.map((limit) => figures(limit, undefined)).join(', ') || '-');
  const both = [rules.cold, rules.hot].filter((figure) => figure !== undefined);
  expect(held).toBe(both.map((figure) => `${figure} C`).join(', ') || '-');
  expect(/\*\*Weak\*\*/.test(source ?? '')).toBe(rules.confidence === 'weak');
});
