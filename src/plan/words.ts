import { z } from 'zod';
import {
  isTimeZone,
  parseAltitude,
  parseClockTime,
  parsed,
  parseDayHours,
  parseDuration,
  parseEnds,
  parseReadingRate,
  parseTemperature,
  parseTemperatureChange,
  parseTemperatureOffset,
  parseTemperatureRange,
  parseTemperatureRate,
  parseTemperatureSpan,
  parseThickness,
  parseWindow,
  seconds,
  unreadable,
  type DayHours,
  type Parsed,
  type Seconds,
} from '../units/index.ts';
import { readBrokerUrl, readField, readTopic, readVariable } from './broker-words.ts';
import type { DiagnosticCode } from './diagnostic.ts';
import type { OvenPace } from './model.ts';

/** The kinds of values that stand after a word of the language: each a zod schema that reads the text into its meaning. */

const MAX_NAME = 40;
const MAX_TEXT = 200;
export const MAX_COUNT = 1000;
export const MAX_PIECES = 10_000;

const UNSEEN = /[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\p{Co}\p{Cs}]/u;
const NAME_HINT = `use letters, digits, single spaces and hyphens, at most ${MAX_NAME}`;

/** A value written as text: what it is, how it is read, and the code of the problem when it cannot be. */
function written<T>(
  meta: { title: string; examples: readonly string[]; description?: string; pattern?: string },
  code: DiagnosticCode,
  read: (text: string) => Parsed<T>,
) {
  return z
    .string()
    .transform((text, context) => {
      const value = read(text);
      if (value.ok) return value.value;
      context.addIssue({
        code: 'custom',
        message: value.problem,
        params: { code: UNSEEN.test(text) ? 'bad-character' : code, hint: value.hint },
      });
      return z.NEVER;
    })
    .meta({ ...meta, examples: [...meta.examples] });
}

const readText = (text: string): Parsed<string> => {
  const line = text.replaceAll(/[ \t\r\n]+/g, ' ').trim();
  if (UNSEEN.test(line)) return unreadable('this text has unseen or control characters in it', 'delete them');
  if (line === '') return unreadable('this text is empty', 'write something, or leave the word out');
  if (line.length > MAX_TEXT)
    return unreadable(`this text has ${line.length} characters`, `use at most ${MAX_TEXT}`);
  return parsed(line);
};

/** Two spaces in a row would be seen as one. */
const NAME_ONLY = /^(?!.* {2})[\p{L}\p{N}](?:[\p{L}\p{M}\p{N} -]*[\p{L}\p{M}\p{N}])?$/u;
/** The same for editors, more loosely: some do not know the classes of Unicode. */
const NAME_FOR_EDITORS = `^[^!-,./:-@[-\`{-~]{1,${MAX_NAME}}$`;

/** Reads the name of a component, step, kitchen, oven or piece of equipment. */
const readName = (text: string): Parsed<string> =>
  text.length <= MAX_NAME && NAME_ONLY.test(text)
    ? parsed(text)
    : unreadable(text.length > MAX_NAME ? 'this name is too long' : `"${text}" is not a name`, NAME_HINT);

/** How many pieces of what: the yield. */
export interface Makes {
  readonly count: number;
  readonly of: string;
}

const readMakes = (text: string): Parsed<Makes> => {
  const match = /^(\d{1,6})\s+(\S.*)$/su.exec(text.trim());
  const of = readText(match?.[2] ?? '');
  const count = Number(match?.[1]);
  if (!match || count < 1 || count > MAX_PIECES) {
    return unreadable(`"${text}" is not a yield`, `write how many of what: 40 buns (1 to ${MAX_PIECES})`);
  }
  return of.ok ? parsed({ count, of: of.value }) : of;
};

const wholeSeconds = (length: Seconds): Seconds => seconds(Math.round(length));

/** Reads lengths of time in whole seconds. */
const readLength = (text: string): Parsed<Seconds> => {
  const length = parseDuration(text);
  return length.ok ? parsed(wholeSeconds(length.value)) : length;
};

export const text = written({ title: 'a text', examples: ['chestnut and firm'] }, 'bad-text', readText);
export const name = written(
  { title: 'a name', examples: ['cream'], pattern: NAME_FOR_EDITORS },
  'bad-name',
  readName,
);
export const reference = written(
  { title: 'a component or component.step', examples: ['cream', 'shells.bake low'] },
  'bad-text',
  readText,
);
export const makes = written({ title: 'a yield', examples: ['40 buns'] }, 'bad-yield', readMakes);
export const clockTime = written(
  { title: 'a time of day', examples: ['19:30', '2027-03-28 07:30'] },
  'bad-clock-time',
  parseClockTime,
);
export const length = written(
  { title: 'a length of time', examples: ['90 s', '6 min', '1 h 30 min', '2 d'] },
  'bad-length',
  readLength,
);
/** Fractions of a second count here: they are multiplied by the pieces. */
export const lengthEach = written(
  { title: 'a length of time', examples: ['8 s', '1.5 s'] },
  'bad-length',
  parseDuration,
);
export const ends = written(
  { title: 'a length of time or a range', examples: ['12 min', '9-13 min', '45 min - 2 h'] },
  'bad-length',
  (value) => {
    const range = parseEnds(value);
    if (!range.ok) return range;
    return parsed({ low: wholeSeconds(range.value.low), high: wholeSeconds(range.value.high) });
  },
);
export const window = written(
  { title: 'a window of time', examples: ['3-20 h', '45 min - 7 d', 'at least 3 h', 'at most 2 d'] },
  'bad-length',
  (value) => {
    const read = parseWindow(value);
    if (!read.ok) return read;
    const { atLeast, atMost } = read.value;
    return parsed({
      atLeast: wholeSeconds(atLeast),
      ...(atMost !== undefined && { atMost: wholeSeconds(atMost) }),
    });
  },
);
export const temperature = written(
  { title: 'a temperature', examples: ['220 C', '-18 C', '356 F'] },
  'bad-temperature',
  parseTemperature,
);
export const temperatureRange = written(
  { title: 'a range of temperatures', examples: ['20-22 C'] },
  'bad-temperature',
  parseTemperatureRange,
);
export const temperatureSpan = written(
  { title: 'a difference of temperatures', examples: ['8 C', '15 F'] },
  'bad-temperature',
  parseTemperatureSpan,
);
export const temperatureOffset = written(
  { title: 'a difference of temperatures', examples: ['-8 C', '15 F'] },
  'bad-temperature',
  parseTemperatureOffset,
);
/** What has "in" between spaces was watched; anything else is to be a mean rate. */
const readPace = (text: string): Parsed<OvenPace> =>
  /\sin\s/i.test(text) ? parseTemperatureChange(text) : parseTemperatureRate(text);
const pace = (way: 'heating' | 'cooling', example: string) =>
  written<OvenPace>(
    { title: `a rate of ${way}, or a change that was watched`, examples: [example, '12 C/min'] },
    'bad-rate',
    (text) => {
      const read = readPace(text);
      if (!read.ok)
        return unreadable(read.problem, `write what was watched, ${example}, or a mean rate, 12 C/min`);
      if (typeof read.value === 'number') return read;
      const rises = read.value.to > read.value.from;
      if (rises === (way === 'heating')) return read;
      const message = `"${text}" is a ${rises ? 'rise' : 'fall'}, and this word wants ${way}`;
      return unreadable(message, `write it as ${example}`);
    },
  );
export const heatingPace = pace('heating', '20 to 200 C in 12 min');
export const coolingPace = pace('cooling', '220 to 180 C in 14 min');
export const readingRate = written(
  { title: 'how fast a reading may change', examples: ['5 C/s'] },
  'bad-rate',
  parseReadingRate,
);
export const altitude = written(
  { title: 'an altitude', examples: ['900 m', '3000 ft'] },
  'bad-figure',
  parseAltitude,
);
export const thickness = written(
  { title: 'a depth', examples: ['3 cm', '25 mm', '1.5 in'] },
  'bad-figure',
  parseThickness,
);
/** When a tray is turned: half-way, or so many seconds after the start. */
export const turn = written<'half-way' | Seconds>(
  { title: 'half-way, or a length of time', examples: ['half-way', '8 min'] },
  'bad-length',
  (value) => {
    if (/^half[- ]?way$/i.test(value.trim())) return parsed('half-way');
    const read = readLength(value);
    return read.ok ? read : unreadable(read.problem, 'write turn: half-way, or turn: 8 min');
  },
);
export const topic = written(
  { title: 'a topic', examples: ['kitchen/probes/cream'] },
  'bad-broker',
  readTopic,
);
export const field = written(
  { title: 'the name of a field', examples: ['temperature.value'] },
  'bad-broker',
  readField,
);
export const variable = written(
  { title: 'the name of an environment variable', examples: ['BROKER_PASSWORD'] },
  'bad-broker',
  readVariable,
);
export const brokerUrl = written(
  { title: 'the address of a broker', examples: ['mqtt://kitchen.local:1883'] },
  'bad-broker',
  readBrokerUrl,
);
export const timeZone = written<string>(
  { title: 'a time zone', examples: ['Europe/Lisbon', 'UTC'] },
  'bad-time-zone',
  (value) =>
    isTimeZone(value)
      ? parsed(value)
      : unreadable(
          `"${value}" is not a time zone that this machine knows`,
          'write one as Europe/Lisbon or UTC',
        ),
);

export const dayHours = written(
  { title: 'hours of work', examples: ['6:00-22:00', '22:00-6:00'] },
  'bad-hours',
  parseDayHours,
);
/** The same for one day of the week, on which there may be no work. */
export const dayHoursOrNone = written<DayHours | 'off'>(
  { title: 'hours of work, or none', examples: ['6:00-14:00', 'none'] },
  'bad-hours',
  (value) => {
    if (value.trim().toLowerCase() === 'none') return parsed('off');
    const read = parseDayHours(value);
    return read.ok ? read : unreadable(read.problem, `${read.hint}; or none`);
  },
);

/** A whole number within limits. */
export const count = (least: number, most: number) => {
  const error = `a whole number from ${least} to ${most} is wanted here`;
  return z
    .int({ error })
    .min(least, { error })
    .max(most, { error })
    .meta({ title: 'a whole number', examples: [Math.max(1, least)] });
};
