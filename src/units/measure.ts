import { parsed, unreadable, type Parsed } from './parsed.ts';

/** Lengths in space, of which a kitchen has two kinds: how high it lies, and how thick something is. */

const METRES_A_FOOT = 0.3048;
const LOWEST = -500;
const HIGHEST = 6000;
const ALTITUDE = /^(-?\d{1,5}(?:\.\d)?)\s*(m|ft)$/i;

/** Reads how high a place lies above the sea, `900 m` or `3000 ft`, in metres: -500 to 6,000. */
export function parseAltitude(text: string): Parsed<number> {
  const match = ALTITUDE.exec(text.trim());
  const hint = 'write metres or feet above the sea: 900 m, 3000 ft';
  if (!match) return unreadable(`"${text}" is not an altitude`, hint);
  const metres = Number(match[1]) * (match[2]?.toLowerCase() === 'ft' ? METRES_A_FOOT : 1);
  if (metres < LOWEST || metres > HIGHEST) {
    return unreadable(`"${text}" is no altitude of a kitchen`, `between ${LOWEST} m and ${HIGHEST} m`);
  }
  return parsed(Math.round(metres * 10) / 10 + 0);
}

const MILLIMETRES: Readonly<Record<string, number>> = { mm: 1, cm: 10, in: 25.4 };
const THINNEST = 2;
const THICKEST = 300;
const THICKNESS = /^(\d{1,3}(?:\.\d{1,2})?)\s*(mm|cm|in)$/i;

/** Reads how thick something lies, `3 cm`, `25 mm` or `1.5 in`, in millimetres: 2 to 300. */
export function parseThickness(text: string): Parsed<number> {
  const match = THICKNESS.exec(text.trim());
  const hint = 'write 2 mm to 30 cm: 25 mm, 3 cm, 1.5 in';
  if (!match) return unreadable(`"${text}" is not a depth`, hint);
  const millimetres = Number(match[1]) * (MILLIMETRES[match[2]?.toLowerCase() ?? ''] ?? 1);
  if (millimetres < THINNEST || millimetres > THICKEST) {
    return unreadable(`"${text}" is no depth at which food lies`, hint);
  }
  return parsed(Math.round(millimetres * 10) / 10);
}
