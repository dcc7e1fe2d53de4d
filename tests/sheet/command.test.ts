import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { tempFolder } from '../support/folder.ts';
import { thirdhand } from '../support/program.ts';
import { readXml } from './xml.ts';

const PLAN = `thirdhand: 1
title: Small & "fine"
makes: 4 tarts
kitchen: { cooks: 1, ovens: { oven: { shelves: 1 } } }
components:
  tarts:
    steps:
      - fill: { takes: 5 min, hands: busy }
      - bake: { takes: 20 min, within: 10 min, oven: { at: 180 C } }
`;

function sheetAs(form: string): ReturnType<typeof thirdhand> {
  const file = join(tempFolder(), 'small.yaml');
  writeFileSync(file, PLAN);
  return thirdhand(['sheet', file, '--serve', '2027-03-01 18:00', '--as', form]);
}

test('a picture and a calendar come out as they are, ready for a file', async () => {
  const [svg, ics] = await Promise.all([sheetAs('svg'), sheetAs('ics')]);
  expect({ code: svg.code, err: svg.err }).toEqual({ code: 0, err: '' });
  expect(readXml(svg.out).name).toBe('svg');
  expect(svg.out).toContain('Small &amp; &quot;fine&quot;');
  expect({ code: ics.code, err: ics.err }).toEqual({ code: 0, err: '' });
  expect(ics.out).toMatch(/^BEGIN:VCALENDAR\r\n/);
  expect(ics.out).toMatch(/\r\nEND:VCALENDAR\r\n$/);
  expect(ics.out.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
});

test('a form that there is not is refused with those that there are', async () => {
  for (const form of ['clay', 'toString', '__proto__'])
    expect(await sheetAs(form)).toMatchObject({
      code: 2,
      out: '',
      err: `thirdhand: a sheet cannot be had as "${form}"\nit can be had as text, markdown, json, svg, ics\n`,
    });
});
