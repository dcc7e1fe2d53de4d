import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { tempFolder } from '../support/folder.ts';
import { thirdhand } from '../support/program.ts';

/** A soup that may boil for four minutes longer than usual, with a minute to spare. */
const PLAN = `thirdhand: 1
title: Soup
makes: 8 bowls
margin: 1 min
kitchen: { time zone: UTC, hours: 6:00-22:00 }
components:
  soup:
    steps:
      - boil:  { takes: 9-13 min, usually: 9 min, hands: near }
      - ladle: { takes: 3 min, hands: busy, within: 5 min }
`;
const SERVE = ['--serve', '2027-03-01 18:00'];

function folder(): string {
  const cwd = tempFolder();
  writeFileSync(join(cwd, 'soup.yaml'), PLAN);
  return cwd;
}

test('--promised begins early enough, and says what was given for it', async () => {
  const cwd = folder();
  const plain = await thirdhand(['sheet', 'soup.yaml', ...SERVE], { cwd });
  expect(plain.out).toContain('May break: service at 18:00 can be missed by 4 min');
  const held = await thirdhand(['sheet', 'soup.yaml', ...SERVE, '--promised'], { cwd });
  expect(held).toMatchObject({
    code: 0,
    err: 'so that it holds whatever happens: 4 min more from the beginning to service\n',
  });
  expect(held.out).toContain('Holds whatever happens within the ranges');
});

test('a demonstration has no such promise', async () => {
  const { code, err } = await thirdhand(['sheet', 'lamplight-choux', '--promised'], { cwd: tempFolder() });
  expect({ code, err }).toEqual({
    code: 2,
    err: expect.stringContaining('--promised is for a plan without a demonstration'),
  });
});
