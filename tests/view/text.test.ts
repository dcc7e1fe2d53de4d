import { expect, test } from 'vitest';
import { cells, cutName } from '../../src/view/index.ts';

test.each([
  ['sponge for K', 12, 'sponge for K'],
  ['sponge for K', 11, 'sponge f… K'],
  ['cream for 10', 9, 'cream… 10'],
  ['sponge for K', 5, 'spon…'],
  ['almond discs', 9, 'almond d…'],
  ['buttercream', 9, 'buttercr…'],
])('the name %j in %i cells: %j', (name, width, cut) => {
  expect(cutName(name, width)).toBe(cut);
  expect(cells(cut)).toBeLessThanOrEqual(width);
});
