import type { WorkingHours } from '../units/index.ts';
import { problem, type Report } from './diagnostic.ts';
import { weekShape } from './kitchen-shape.ts';
import type { KitchenWords } from './kitchen.ts';
import { keyPlaceIn, type MapNode, type Node } from './tree.ts';

type Day = Exclude<keyof typeof weekShape.shape, 'other days'>;

const OTHER = 'other days';
/** From Monday to Sunday. */
const DAYS = Object.keys(weekShape.shape).filter((word): word is Day => word !== OTHER);

/** When there is work in a kitchen, day by day; nothing where it does not say. */
export function workingHours(
  { hours, nights }: KitchenWords,
  tree: Node,
  report: Report,
): WorkingHours | undefined {
  if (hours === undefined) return undefined;
  if (nights) {
    const message = '"nights" says nothing beside "hours", which say when there is work';
    const place = keyPlaceIn(tree, 'nights');
    report(problem('no-effect', place, message, 'leave one of the two out', 'warning'));
  }
  if ('from' in hours) return DAYS.map(() => hours);
  const node = tree.kind === 'map' ? tree.entries.get('hours')?.value : undefined;
  if (node?.kind === 'map') checkWeek(node, report);
  return DAYS.map((day) => hours[day] ?? hours[OTHER] ?? 'off');
}

/** Every day must be spoken for: a day that was forgotten is not a day off. */
function checkWeek({ entries, place }: MapNode, report: Report): void {
  const [first] = entries.values();
  const start = first?.keyPlace ?? { ...place, endLine: place.line, endColumn: place.column + 1 };
  const other = entries.get(OTHER);
  const unnamed = DAYS.filter((day) => !entries.has(day));
  const isMisspelt = [...entries.keys()].some((word) => !Object.hasOwn(weekShape.shape, word));
  if (unnamed.length > 0 && !other) {
    // A misspelt day is told as such, and may be the one that is missing.
    if (isMisspelt) return;
    const message = `the hours do not speak of ${unnamed.join(', ')}`;
    report(problem('bad-hours', start, message, `write ${OTHER}: none, or when there is work`));
  } else if ([...entries.values()].every(({ value }) => isNone(value))) {
    const hint = 'write when there is work, or leave the hours out';
    report(problem('bad-hours', start, 'there is work on no day', hint));
  } else if (unnamed.length === 0 && other) {
    const message = 'there are no other days: all seven are named';
    report(problem('no-effect', other.keyPlace, message, 'leave it out', 'warning'));
  }
}

const isNone = (value: Node): boolean =>
  value.kind === 'scalar' && value.written.trim().toLowerCase() === 'none';
