import { parseDuration, type Seconds } from './duration.ts';
import { parsed, unreadable, type Parsed } from './parsed.ts';
import { parseTemperature, type Celsius } from './temperature.ts';

/** A change of temperature that was watched. Invariant: the two ends differ, and the time is over 0. */
export interface TemperatureChange {
  readonly from: Celsius;
  readonly to: Celsius;
  readonly in: Seconds;
}

const CHANGE =
  /^([+-]?\d{1,4}(?:\.\d{1,2})?)(?:\s*\u00b0?\s*([CF]))?\s*(?:-|\u2013|to)\s*([+-]?\d{1,4}(?:\.\d{1,2})?\s*\u00b0?\s*([CF]))\s+in\s+(.+)$/i;
const HINT = 'write from where to where in how long: 20 to 200 C in 12 min';

/** Reads `20 to 200 C in 12 min`, `220 C to 180 C in 14 min`, up or down. A scale at the end alone is meant for both. */
export function parseTemperatureChange(text: string): Parsed<TemperatureChange> {
  const [whole, figure, scale, toText = '', toScale = '', time = ''] = CHANGE.exec(text.trim()) ?? [];
  if (whole === undefined) return unreadable(`"${text}" is not a change that was watched`, HINT);
  const from = parseTemperature(`${figure} ${scale ?? toScale}`);
  if (!from.ok) return from;
  const to = parseTemperature(toText);
  if (!to.ok) return to;
  const length = parseDuration(time);
  if (!length.ok) return length;
  if (from.value.celsius === to.value.celsius || length.value === 0) {
    return unreadable(`"${text}" is no change: it needs two temperatures, and some time`, HINT);
  }
  return parsed({ from: from.value.celsius, to: to.value.celsius, in: length.value });
}
