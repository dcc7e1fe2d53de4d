import { describe, expect, test } from 'vitest';
import { bandsSvg } from '../../src/sheet/index.ts';
import { plus, type EpochMs } from '../../src/units/index.ts';
import { widthOf } from '../../src/sheet/picture/letters.ts';
import { laidTogether, step, workload } from '../support/workloads.ts';
import { picnic, picnicTimes } from './hand-made.ts';
import { all, readXml, wordsOf } from './xml.ts';

const about = (moment: EpochMs) => ({
  low: plus(moment, -60),
  usual: plus(moment, 120),
  high: plus(moment, 900),
});
const bands = picnicTimes.steps.map((own) => ({
  step: own.step,
  start: about(own.start),
  end: about(own.end),
}));

describe('the picture of when each step happens', () => {
  const nodes = all(readXml(bandsSvg(picnic, picnicTimes, bands, ['200 rehearsals'])));
  const words = nodes.filter(({ name }) => name === 'text').map((node) => wordsOf(node));
  const steps = picnic.components.flatMap((component) => component.steps);

  test('names every component and step, service, and how it was got', () => {
    for (const { title } of picnic.components) expect(words).toContain(title);
    for (const { name } of steps) expect(words).toContain(name);
    expect(words.some((each) => each.startsWith('SERVE '))).toBe(true);
    expect(words).toContain('200 rehearsals');
  });

  test('has two spans and two marks of what was told for every step, and all of it within the picture', () => {
    const spans = nodes.filter(({ attributes }) => attributes['class'] === 'span');
    const told = nodes.filter(({ attributes }) => attributes['class'] === 'told');
    // Those of the legend come first.
    expect(spans).toHaveLength(2 * steps.length + 2);
    expect(told).toHaveLength(2 * steps.length + 1);
    const width = Number(nodes[0]?.attributes['viewBox']?.split(' ')[2]);
    for (const node of nodes.filter(({ name }) => name === 'text')) {
      const bold = node.attributes['font-weight'] === 'bold';
      const size = Number(node.attributes['font-size']);
      const right = Number(node.attributes['x']) + widthOf(wordsOf(node), { size, bold });
      expect(right).toBeLessThanOrEqual(width);
    }
    for (const { attributes } of told) expect(Number(attributes['x1'])).toBeLessThanOrEqual(width);
  });

  test('a step that never came to its end has no bar and no span there', () => {
    const [first, ...rest] = bands;
    if (!first) throw new Error('no bands');
    const never = [{ ...first, end: {} }, ...rest];
    const fewer = all(readXml(bandsSvg(picnic, picnicTimes, never, [])));
    const count = (of: typeof nodes, what: string): number =>
      of.filter(({ name, attributes }) => name === what || attributes['class'] === what).length;
    expect(count(fewer, 'span')).toBe(count(nodes, 'span') - 1);
    expect(count(fewer, 'rect')).toBe(count(nodes, 'rect') - 1);
  });

  test('names from a stranger steer nothing', () => {
    const hostile = workload({
      title: '</title><script>alert(1)</script>\u001B[2J',
      components: { 'a&b': [step('<mix>\u202E', { takes: '5 min' })] },
    });
    const [only] = hostile.components.flatMap((component) => component.steps);
    if (!only) throw new Error('no step');
    const start = picnicTimes.service[0] ?? plus(0 as EpochMs, 0);
    const times = {
      service: [plus(start, 600)],
      steps: [{ step: only.id, start, end: plus(start, 300) }],
      settings: [],
    };
    const svg = bandsSvg(hostile, times, [], []);
    // oxlint-disable-next-line no-control-regex
    expect(svg).not.toMatch(/<script|\u001B|\u202E/);
    expect(() => readXml(svg)).not.toThrow();
  });

  test('nothing planned is an empty picture', () => {
    const empty = laidTogether({}, {});
    expect(() => readXml(bandsSvg(empty, { service: [], steps: [], settings: [] }, [], []))).not.toThrow();
  });
});
