import { temperatureOf, type Temperature } from '../units/index.ts';

/** What a feed says of one probe. */
export interface FedReading {
  readonly probe: string;
  readonly temperature: Temperature;
}

type Scale = 'C' | 'F';

/** A figure, and its scale where it says one. */
export interface SaidFigure {
  readonly figure: number;
  readonly scale?: Scale;
}

const LONGEST_NAME = 40;
/** Letters, digits, spaces and hyphens, as names have them in plans; nothing unseen, and no terminal's commands. */
const NAME = /^[\p{L}\p{N}](?:[\p{L}\p{M}\p{N} -]*[\p{L}\p{M}\p{N}])?$/u;
/** Nothing in a kitchen is colder or hotter; what a broken probe says beyond that is for the feed to refuse, not for the bench to judge. */
const COLDEST = -200;
const HOTTEST = 1500;

/** A figure as programs print it, with the scale it may have behind it. */
const FIGURE = String.raw`([+-]?\d{1,6}(?:\.\d{1,10})?)\s*(?:\u00b0\s*)?([CF])?`;
/**
 * `cream 12.5 C`, `cream: 54F`, `oven air = 181`. The name may have spaces. No two parts can share the same spaces out in many
 * ways: a line of nothing else costs no more than any other.
 */
const PLAIN = new RegExp(String.raw`^([^:=]{1,60}?)(?:\s*[:=]\s*|\s+)${FIGURE}$`, 'iu');
const BARE = new RegExp(`^${FIGURE}$`, 'iu');

/** Reads one line of a feed: plain, or a JSON object. Nothing where it is none that can be trusted. Never throws. */
export function readingFrom(line: string): FedReading | undefined {
  const text = line.trim();
  return text.startsWith('{') ? fromJson(text) : fromPlain(text);
}

/** A figure without a scale is in Celsius. */
function fromPlain(text: string): FedReading | undefined {
  const match = PLAIN.exec(text);
  return match ? reading(match[1] ?? '', Number(match[2]), scaleOf(match[3]) ?? 'C') : undefined;
}

/** `{"probe":"cream","value":54.1,"unit":"F"}`, or the figure as `celsius` or `fahrenheit`; what else is in it is left alone. */
function fromJson(text: string): FedReading | undefined {
  const said = parsed(text);
  const [probe, value, unit] = [own(said, 'probe'), own(said, 'value'), own(said, 'unit')];
  const [inCelsius, inFahrenheit] = [own(said, 'celsius'), own(said, 'fahrenheit')];
  if (typeof probe !== 'string') return undefined;
  // Two figures, of which one must be wrong.
  if ([value, inCelsius, inFahrenheit].filter((each) => each !== undefined).length !== 1) return undefined;
  if (typeof inCelsius === 'number') return reading(probe, inCelsius, 'C');
  if (typeof inFahrenheit === 'number') return reading(probe, inFahrenheit, 'F');
  const scale = unit === undefined ? 'C' : scaleOf(unit);
  return typeof value === 'number' && scale !== undefined ? reading(probe, value, scale) : undefined;
}

/** A reading whose name can be shown and whose figure can be one; to a hundredth of a degree. */
export function reading(name: string, figure: number, scale: Scale): FedReading | undefined {
  const probe = name.trim();
  if (probe.length > LONGEST_NAME || !NAME.test(probe)) return undefined;
  if (!Number.isFinite(figure)) return undefined;
  const temperature = temperatureOf(Math.round(figure * 100) / 100, scale);
  const { celsius } = temperature;
  return celsius < COLDEST || celsius > HOTTEST ? undefined : { probe, temperature };
}

/** What a payload of a broker says: a bare figure, or a JSON value with the figure in one of its fields. */
export function figureIn(payload: string, field: string | undefined): SaidFigure | undefined {
  const text = payload.trim();
  if (field === undefined) return bare(text);
  let value = parsed(text);
  for (const part of field.split('.')) value = own(value, part);
  if (typeof value === 'number') return Number.isFinite(value) ? { figure: value } : undefined;
  return typeof value === 'string' ? bare(value.trim()) : undefined;
}

function bare(text: string): SaidFigure | undefined {
  const match = BARE.exec(text);
  if (!match) return undefined;
  const scale = scaleOf(match[2]);
  return { figure: Number(match[1]), ...(scale === undefined ? {} : { scale }) };
}

function scaleOf(letter: unknown): Scale | undefined {
  if (letter === 'C' || letter === 'c') return 'C';
  return letter === 'F' || letter === 'f' ? 'F' : undefined;
}

/** A member that a value has itself; what it was born with, like a constructor, is none. */
const own = (value: unknown, name: string): unknown =>
  typeof value === 'object' && value !== null && Object.hasOwn(value, name)
    ? (value as Readonly<Record<string, unknown>>)[name]
    : undefined;

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
