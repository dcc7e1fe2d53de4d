import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { tempFolder } from '../support/folder.ts';
import { thirdhand } from '../support/program.ts';

const plan = (prefer: string): string => `thirdhand: 1
title: Small
makes: 8 tarts
prefer: ${prefer}
kitchen: { time zone: UTC, hours: 6:00-22:00, ovens: { oven: {} } }
components:
  tarts:
    steps:
      - mix:  { takes: 5 min, hands: busy }
      - bake: { takes: 20 min, within: 1 h, oven: { at: 180 C } }
`;
const SERVE = ['--serve', '2027-03-01 18:00'];

/** A folder with two plans that prefer different things. */
function twoPlans(): string {
  const cwd = tempFolder();
  writeFileSync(join(cwd, 'first.yaml'), plan('day'));
  writeFileSync(join(cwd, 'second.yaml'), plan('[oven, day]'));
  return cwd;
}

test('two plans that prefer different things: the first counts, and the second is named', async () => {
  const { code, out, err } = await thirdhand(['sheet', 'first.yaml', 'second.yaml', ...SERVE], {
    cwd: twoPlans(),
  });
  expect({ code, out: out.includes('oven to 180 C') }).toEqual({ code: 0, out: true });
  expect(err).toContain(
    'second.yaml:4:9: warning: first.yaml, line 4, prefers day, and counts: it was given first',
  );
});

test('--prefer takes the place of what the plans prefer', async () => {
  const args = ['sheet', 'first.yaml', 'second.yaml', ...SERVE, '--prefer', 'fresh,oven'];
  expect(await thirdhand(args, { cwd: twoPlans() })).toMatchObject({ code: 0, err: '' });
});

test.each([
  ['frehs', '--prefer: "frehs" is nothing to prefer', 'did you mean "fresh"?'],
  ['day,day', '--prefer: "day" stands there twice', 'name it once'],
  ['a\u001b[2J', '--prefer: "a', 'there is: fresh, day, oven'],
])('--prefer %j is wrong usage', async (prefer, head, hint) => {
  const { code, out, err } = await thirdhand(['sheet', 'first.yaml', '--prefer', prefer], {
    cwd: twoPlans(),
  });
  expect({ code, out }).toEqual({ code: 2, out: '' });
  expect(err).toContain(head);
  expect(err).toContain(hint);
  expect(err).not.toMatch(/[^\P{Cc}\n]/u);
});
