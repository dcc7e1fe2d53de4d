import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { lineStream } from '../../src/feed/line-stream.ts';
import { pace } from '../../src/feed/pace.ts';
import { figureIn, readingFrom, type FedReading } from '../../src/feed/reading-line.ts';
import { Report } from '../../src/feed/report.ts';
import { feedSpec } from '../../src/feed/specs.ts';
import { thinner } from '../../src/feed/thinner.ts';
import { temperatureOf } from '../../src/units/index.ts';

const said = (line: string): string => {
  const found = readingFrom(line);
  return found ? `${found.probe} | ${found.temperature.figure} ${found.temperature.scale}` : 'refused';
};

describe('a line of a feed', () => {
  test.each([
    ['cream 12.5', 'cream | 12.5 C'],
    ['cream 12.500000', 'cream | 12.5 C'],
    ['cream: 12.5 C', 'cream | 12.5 C'],
    ['oven air = 356F', 'oven air | 356 F'],
    ['freezer -18.25 \u00b0C', 'freezer | -18.25 C'],
    ['  cream\t-4  ', 'cream | -4 C'],
    ['{"probe":"cream","value":54.1,"unit":"F"}', 'cream | 54.1 F'],
    ['{"probe":"cream","celsius":5,"battery":80}', 'cream | 5 C'],
    ['{"probe":"oven air","fahrenheit":356}', 'oven air | 356 F'],
  ])('%s', (line, found) => {
    expect(said(line)).toBe(found);
  });

  test.each([
    ['no figure', 'cream'],
    ['no name', '12.5 C'],
    ['a terminal escape in the name', 'cre\u001b[2Jam 12.5 C'],
    ['a name that turns the writing', 'cream\u202e 12.5'],
    ['a name without end', `${'x'.repeat(50)} 12`],
    ['a figure no kitchen has', 'cream 9000 C'],
    ['a figure in words', 'cream NaN'],
    ['a name of two lines', 'cream\u2028tea 5'],
    ['a comma for a point', 'cream 12,5'],
    ['an exponent', 'cream 1e1'],
    ['JSON with two figures', '{"probe":"cream","value":5,"celsius":6}'],
    ['JSON whose name is no text', '{"probe":{"toString":1},"value":5}'],
    ['JSON that ends in a pit', '['.repeat(1000)],
    ['hexadecimal', 'cream 0x1f'],
    ['JSON without a name', '{"value":5}'],
    ['JSON with a figure in quotes', '{"probe":"cream","value":"5"}'],
    ['JSON that ends too soon', '{"probe":"cream","value":5'],
    ['a list', '[{"probe":"cream","value":5}]'],
    ['a number beyond all', '{"probe":"cream","value":1e999}'],
    ['an unknown unit', '{"probe":"cream","value":5,"unit":"K"}'],
  ])('refused: %s', (_what, line) => {
    expect(said(line)).toBe('refused');
  });

  test.each([
    ['spaces', `x${' '.repeat(1000)}!`],
    ['spaces behind a figure', `x 5${' '.repeat(1000)}!`],
    ['figures', `${'5 '.repeat(500)}!`],
    ['colons', `${'x:'.repeat(500)}!`],
    ['brackets', `{${'"a":['.repeat(200)}`],
  ])('a line of nothing but %s costs no more than others do', (_what, line) => {
    const begun = performance.now();
    for (let round = 0; round < 20; round += 1) expect(readingFrom(line)).toBeUndefined();
    // Twenty rounds take some 5 ms; where parts of a pattern fight for the same spaces one took 150 ms.
    expect(performance.now() - begun).toBeLessThan(1000);
  });

  test('whatever comes is read or refused, never thrown, and nothing unseen gets through', () => {
    expect.hasAssertions();
    const hostile = fc.oneof(fc.string({ unit: 'binary', maxLength: 200 }), fc.json());
    fc.assert(
      fc.property(hostile, (line) => {
        expect(readingFrom(line)?.probe ?? '').not.toMatch(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/u);
      }),
      { seed: 4_101, numRuns: 2000 },
    );
  });
});

describe('a payload of a broker', () => {
  test.each([
    ['12.5', undefined, { figure: 12.5 }],
    ['12.5 C', undefined, { figure: 12.5, scale: 'C' }],
    [' 54.10\u00b0F\n', undefined, { figure: 54.1, scale: 'F' }],
    ['{"t":5}', undefined, undefined],
    ['{"t":5}', 't', { figure: 5 }],
    ['{"a":{"b":"6.5 F"}}', 'a.b', { figure: 6.5, scale: 'F' }],
    ['{"a":{"b":6}}', 'a.c', undefined],
    ['{"a":1}', '__proto__.toString', undefined],
    ['{"a":1}', 'constructor.name', undefined],
    ['{"__proto__":{"t":9}}', 't', undefined],
    ['{"a":1e999}', 'a', undefined],
    ['{"a":true}', 'a', undefined],
    ['"text"', 'length', undefined],
    ['[7]', '0', { figure: 7 }],
    ['null', 'a', undefined],
    ['['.repeat(4000), 'a', undefined],
  ])('%s, field %s', (payload, field, said) => {
    expect(figureIn(payload, field)).toEqual(said);
  });
});

describe('a stream cut into lines', () => {
  function cut(pieces: readonly Buffer[]): { lines: string[]; refused: number; held: () => void } {
    const lines: string[] = [];
    let refused = 0;
    const stream = lineStream(
      (line) => lines.push(line),
      () => (refused += 1),
    );
    for (const piece of pieces) stream.take(piece);
    return {
      lines,
      get refused() {
        return refused;
      },
      held: () => stream.end(),
    };
  }

  test('it does not matter how it comes in pieces', () => {
    const text = 'cream 12.5 C\növen 180\n\nlast 5\n';
    const bytes = Buffer.from(text);
    fc.assert(
      fc.property(fc.array(fc.nat(bytes.length), { maxLength: 12 }), (cuts) => {
        const at = [0, ...cuts.toSorted((a, b) => a - b), bytes.length];
        const pieces = at.slice(1).map((end, index) => bytes.subarray(at[index], end));
        expect(cut(pieces).lines).toEqual(['cream 12.5 C', 'öven 180', 'last 5']);
      }),
      { seed: 4_102 },
    );
  });

  test('a line without end is refused once, and the next one is read', () => {
    const found = cut([
      Buffer.alloc(700, 65),
      Buffer.alloc(700, 65),
      Buffer.alloc(100_000, 65),
      Buffer.from('\nok 5\n'),
    ]);
    expect(found.lines).toEqual(['ok 5']);
    expect(found.refused).toBe(1);
  });

  test('bytes that are no text are refused; what comes without a line end at the very end is read', () => {
    const found = cut([Buffer.from([0xff, 0xfe, 10]), Buffer.from('cream 5')]);
    found.held();
    expect([found.lines, found.refused]).toEqual([['cream 5'], 1]);
  });
});

describe('thinning', () => {
  const reading = (probe: string, degrees: number): FedReading => ({
    probe,
    temperature: temperatureOf(degrees, 'C'),
  });
  function thinning(wanted: readonly string[] = []) {
    const used: FedReading[] = [];
    const thin = thinner((each) => used.push(each), new Set(wanted));
    return { thin, used, degrees: () => used.map(({ temperature }) => temperature.figure) };
  }

  test('ten thousand readings a second of a moving probe are one in five seconds, the newest of them', () => {
    const { thin, degrees } = thinning();
    for (let index = 0; index < 100_000; index += 1) {
      const now = index / 10;
      thin.take(reading('cream', 60 - index / 10_000), now);
      if (index % 10_000 === 9_999) thin.turn(now);
    }
    expect(degrees()).toHaveLength(2);
    expect(degrees()[1]).toBeCloseTo(60 - 5, 0);
  });

  test('a probe that stands still is handed on every twenty seconds, so that it is not taken for silent', () => {
    const { thin, used } = thinning();
    const at: number[] = [];
    for (let now = 0; now <= 60_000; now += 1000) {
      const before = used.length;
      thin.take(reading('cream', 4), now);
      if (used.length > before) at.push(now);
    }
    expect(at).toEqual([0, 20_000, 40_000, 60_000]);
  });

  test('what waits goes out at its turn, also when nothing more comes', () => {
    const { thin, degrees } = thinning();
    expect([thin.take(reading('cream', 60), 0), thin.take(reading('cream', 50), 100)]).toEqual([
      'used',
      'held',
    ]);
    thin.turn(4999);
    expect(degrees()).toEqual([60]);
    thin.turn(5000);
    expect(degrees()).toEqual([60, 50]);
    thin.turn(50_000);
    expect(degrees()).toEqual([60, 50]);
  });

  test('what stands still goes out only with a newer reading: a short stay is not made a long one', () => {
    const { thin, degrees } = thinning();
    thin.take(reading('cream', 5), 0);
    expect(thin.take(reading('cream', 5.05), 4000)).toBe('held');
    for (let now = 5000; now <= 60_000; now += 1000) thin.turn(now);
    expect(degrees()).toEqual([5]);
    expect(thin.take(reading('cream', 5.05), 61_000)).toBe('used');
  });

  test('however readings come, none is handed on twice, too soon, or out of order, and the last word is heard', () => {
    const coming = fc.array(fc.record({ after: fc.nat(8000), degrees: fc.integer({ min: 0, max: 9 }) }), {
      minLength: 1,
      maxLength: 60,
    });
    fc.assert(
      fc.property(coming, (readings) => {
        const { thin, used } = thinning();
        const handed: { at: number; degrees: number }[] = [];
        let now = 0;
        const note = (): void => {
          for (const { temperature } of used.splice(0)) handed.push({ at: now, degrees: temperature.figure });
        };
        const given: number[] = [];
        for (const { after, degrees } of readings) {
          for (const end = now + after; now < end; now = Math.min(end, now + 1000)) {
            thin.turn(now);
            note();
          }
          given.push(degrees);
          thin.take(reading('cream', degrees), now);
          note();
        }
        const until = now + 21_000;
        for (; now <= until; now += 1000) {
          thin.turn(now);
          note();
        }
        expect(handed.at(-1)?.degrees).toBe(given.at(-1));
        expect(handed.length).toBeLessThanOrEqual(given.length);
        const pauses = handed.slice(1).map(({ at }, index) => at - (handed[index]?.at ?? 0));
        expect(Math.min(5000, ...pauses)).toBe(5000);
        let from = 0;
        for (const { degrees } of handed) {
          const found = given.indexOf(degrees, from);
          expect(found).toBeGreaterThanOrEqual(0);
          from = found + 1;
        }
      }),
      { seed: 4_103 },
    );
  });

  test('names that a sender invents get no further than twenty, and take no place from those that are asked for', () => {
    const { thin, used } = thinning(['cream']);
    const answers = Array.from({ length: 1000 }, (_, index) => thin.take(reading(`p${index}`, 5), index));
    expect(used).toHaveLength(20);
    expect(answers.filter((answer) => answer === 'refused')).toHaveLength(980);
    expect(thin.take(reading('cream', 5), 2000)).toBe('used');
  });
});

describe('the pace', () => {
  const MB = 1_000_000;

  test('ten thousand readings a second pass; what is more waits, and no more than the rate gets in, however many bring it', () => {
    const calm = pace(MB);
    for (let ms = 0; ms < 10_000; ms += 10) expect(calm(200 * 14, ms)).toBe(0);
    const flooded = pace(MB);
    const resumes = [0, 0, 0, 0, 0, 0, 0, 0];
    let bytes = 0;
    for (let ms = 0; ms < 10_000; ms += 1)
      for (const [index, at] of resumes.entries()) {
        if (at > ms) continue;
        bytes += 65_536;
        resumes[index] = ms + flooded(65_536, ms);
      }
    expect(bytes / 10).toBeGreaterThan(0.9 * MB);
    expect(bytes / 10).toBeLessThan(1.2 * MB);
  });

  test('what is owed is forgotten once it is paid', () => {
    const owing = pace(MB);
    expect(owing(MB, 0)).toBe(1000);
    expect(owing(14, 2000)).toBe(0);
  });
});

describe('what is told of a feed', () => {
  function reported() {
    const told: string[] = [];
    const report = new Report('port 9311', ({ state, detail, used, refused }) =>
      told.push(`${state} ${detail} ${used} ${refused}`),
    );
    return { report, told };
  }

  test('changes at once, the first reading at the next turn, counts once a minute and only when they have grown', () => {
    const { report, told } = reported();
    report.turn(0);
    report.stands('on', 'lines', 0);
    report.count('used');
    report.turn(1000);
    expect(told).toEqual(['on lines 0 0', 'on lines 1 0']);
    report.count('used');
    report.turn(60_000);
    expect(told).toHaveLength(2);
    report.turn(61_000);
    report.turn(200_000);
    report.stands('on', 'lines', 201_000);
    expect(told).toEqual(['on lines 0 0', 'on lines 1 0', 'on lines 2 0']);
    report.count('held');
    report.late();
    report.stands('off', 'gone', 202_000);
    expect(told.at(-1)).toBe('off gone 3 0');
  });

  test('one that flaps is told a few times, then every fifteen seconds, and how it stands in the end always', () => {
    const { report, told } = reported();
    for (let ms = 0; ms < 60_000; ms += 100) {
      report.stands((ms / 100) % 2 === 0 ? 'on' : 'off', 'so', ms);
      report.turn(ms);
    }
    expect(told.length).toBeGreaterThan(3);
    expect(told.length).toBeLessThan(10);
    report.stands('on', 'at last', 60_100);
    for (let ms = 61_000; ms < 80_000; ms += 1000) report.turn(ms);
    expect(told.at(-1)).toMatch(/^on at last/);
  });
});

describe('where from', () => {
  test.each([
    ['-', { kind: 'input' }],
    ['port:9311', { kind: 'port', port: 9311 }],
    ['127.0.0.1:9311', { kind: 'port', port: 9311 }],
    ['/run/probes', { kind: 'pipe', path: '/run/probes' }],
    ['./probes', { kind: 'pipe', path: './probes' }],
    ['localhost:9311', { kind: 'port', port: 9311 }],
  ])('%s', (text, spec) => {
    expect(feedSpec(text)).toEqual({ ok: true, spec });
  });

  test.each([
    ['port:80', /from 1024/],
    ['port:99999', /from 1024/],
    ['192.0.2.1:9311', /MQTT/],
    ['[::1]:9311', /port:9311/],
    ['mqtt', /kitchen file/],
    ['mqtts://broker.example', /kitchen file/],
    ['probe', /named pipe/],
    ['', /named pipe/],
  ])('refused: "%s"', (text, hint) => {
    expect(feedSpec(text)).toMatchObject({ ok: false, hint: expect.stringMatching(hint) });
  });
});
