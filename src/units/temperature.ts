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

export function temperatureOf(figure: number, scale: 'C' | 'F'): Temperature {
  return { figure, scale, celsius: celsius(scale === 'C' ? figure : ((figure - 32) * 5) / 9) };
}

/** Writes the temperature as it was given, so that {@link parseTemperature} gives it back. */
export function formatTemperature(temperature: Temperature): string {
  return `${temperature.figure} ${temperature.scale}`;
}
