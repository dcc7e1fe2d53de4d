import { parsed, unreadable, type Parsed } from './parsed.ts';

declare const celsiusBrand: unique symbol;

/** A temperature in degrees Celsius, in which everything is computed. */
export type Celsius = number & { readonly [celsiusBrand]: true };

/** A temperature as the cook wrote it: the figure and scale are kept for display, the Celsius for computing. */
export interface Temperature {
  readonly celsius: Celsius;
  readonly figure: number;
  readonly scale: 'C' | 'F';
}

export const celsius = (value: number): Celsius => value as Celsius;

/** Colder or hotter than this is not a kitchen. */
const COLDEST = -80;
const HOTTEST = 600;
const PATTERN = /^([+-]?\d{1,4}(?:\.\d{1,2})?)\s*\u00b0?\s*([CF])$/i;
const HINT = 'write a figure and C or F: 180 C, -18 C, 356 F';

/** Reads `220 C`, `-18 C`, `428 F`, with or without the degree sign; -80 to 600 C. */
export function parseTemperature(text: string): Parsed<Temperature> {
  const match = PATTERN.exec(text.trim());
  if (!match) return unreadable(`"${text}" is not a temperature`, HINT);
  const temperature = temperatureOf(Number(match[1]), match[2]?.toUpperCase() === 'F' ? 'F' : 'C');
  if (temperature.celsius < COLDEST || temperature.celsius > HOTTEST) {
    return unreadable(`"${text}" is no temperature of a kitchen`, `between ${COLDEST} C and ${HOTTEST} C`);
  }
  return parsed(temperature);
}

/** The temperature that a figure on a scale is. There is no minus zero, which JSON would not keep. */
export function temperatureOf(written: number, scale: 'C' | 'F'): Temperature {
  const figure = written + 0;
  return { figure, scale, celsius: celsius(scale === 'C' ? figure : ((figure - 32) * 5) / 9) };
}

/** Writes the temperature as it was given, so that {@link parseTemperature} gives it back. */
export function formatTemperature(temperature: Temperature): string {
  return `${temperature.figure} ${temperature.scale}`;
}

/** A reading that may lie anywhere from `low` to `high`. Invariant: low <= high. */
export interface TemperatureRange {
  readonly low: Temperature;
  readonly high: Temperature;
}

const BOTH = /^([+-]?\d{1,4}(?:\.\d{1,2})?)(?:\s*\u00b0?\s*([CF]))?\s*(?:-|\u2013|to)\s*(.+)$/i;
const RANGE_HINT = 'write the colder end first: 20-22 C, -20 - -16 C';

/** Reads `20-22 C`, `20 C - 22 C`, `-20 to -16 C`. A scale at the end alone is meant for both. */
export function parseTemperatureRange(text: string): Parsed<TemperatureRange> {
  const match = BOTH.exec(text.trim());
  const high = parseTemperature(match?.[3] ?? '');
  if (!match || !high.ok) return unreadable(`"${text}" is not a range of temperatures`, RANGE_HINT);
  const low = parseTemperature(`${match[1]} ${match[2] ?? high.value.scale}`);
  if (!low.ok) return low;
  if (low.value.celsius > high.value.celsius)
    return unreadable(`the range "${text}" runs backwards`, RANGE_HINT);
  return parsed({ low: low.value, high: high.value });
}

const STEEPEST = 200;
const SPAN = /^(\d{1,3}(?:\.\d{1,2})?)\s*\u00b0?\s*([CF])$/i;
const RATE = /^(\d{1,3}(?:\.\d{1,3})?)\s*\u00b0?\s*([CF])\s*\/\s*min$/i;

/** Reads a difference between temperatures, `8 C` or `15 F` (8.33 C): 0 to 200 C. */
export function parseTemperatureSpan(text: string): Parsed<Celsius> {
  const span = difference(SPAN.exec(text.trim()));
  return span <= STEEPEST
    ? parsed(celsius(span))
    : unreadable(`"${text}" is not a difference of temperatures`, 'write a figure and C or F: 8 C, 15 F');
}

/** Reads how fast an oven changes, `12 C/min` or `20 F/min`, in degrees Celsius a minute: over 0, at most 200. */
export function parseTemperatureRate(text: string): Parsed<number> {
  const rate = difference(RATE.exec(text.trim()));
  return rate > 0 && rate <= STEEPEST
    ? parsed(rate)
    : unreadable(
        `"${text}" is not a rate of heating or cooling`,
        'write degrees a minute: 12 C/min, 20 F/min',
      );
}

const SIGNED = /^([+-]?)(\d{1,3}(?:\.\d{1,2})?\s*\u00b0?\s*[CF])$/i;

/** Reads a difference to either side, `-8 C` or `15 F`: -200 to 200 C. Without a sign it is upwards. */
export function parseTemperatureOffset(text: string): Parsed<Celsius> {
  const match = SIGNED.exec(text.trim());
  const span = difference(SPAN.exec(match?.[2] ?? ''));
  return span <= STEEPEST
    ? parsed(celsius(match?.[1] === '-' ? 0 - span : span))
    : unreadable(
        `"${text}" is not a difference of temperatures`,
        'write a figure and C or F, with a minus where it is colder: -8 C, 15 F',
      );
}

const PER_SECOND = /^(\d{1,3}(?:\.\d{1,3})?)\s*\u00b0?\s*([CF])\s*\/\s*s$/i;

/** Reads how fast a reading may change, `5 C/s` or `9 F/s`, in degrees Celsius a second: over 0, at most 200. */
export function parseReadingRate(text: string): Parsed<number> {
  const rate = difference(PER_SECOND.exec(text.trim()));
  return rate > 0 && rate <= STEEPEST
    ? parsed(rate)
    : unreadable(
        `"${text}" does not say how fast a reading may change`,
        'write degrees a second: 5 C/s, 9 F/s',
      );
}

function difference(match: RegExpExecArray | null): number {
  if (!match) return Number.POSITIVE_INFINITY;
  return match[2]?.toUpperCase() === 'F' ? (Number(match[1]) * 5) / 9 : Number(match[1]);
}
