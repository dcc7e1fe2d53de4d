import { parsed, unreadable, type Parsed } from '../units/index.ts';
import { problem, type Report } from './diagnostic.ts';
import type { PlanReading } from './files.ts';
import type { Preference } from './model.ts';
import { suggest } from './nearest.ts';
import { PREFERENCES } from './shape.ts';
import { placeWithin } from './tree.ts';

/** Reads what a command line prefers: `day`, or with commas the first and the next: `day,fresh`. */
export function parsePreferences(text: string): Parsed<readonly Preference[]> {
  const found: Preference[] = [];
  for (const word of text.split(',').map((part) => part.trim())) {
    const known = PREFERENCES.find((preference) => preference === word);
    if (known === undefined)
      return unreadable(`"${word}" is nothing to prefer`, suggest(word, PREFERENCES, ''));
    if (found.includes(known)) return unreadable(`"${word}" stands there twice`, 'name it once');
    found.push(known);
  }
  return parsed(found);
}

/** The whole order: what is preferred, then what was not named, in the usual order. */
export const preferenceOrder = (prefer: readonly Preference[] = []): readonly Preference[] => [
  ...prefer,
  ...PREFERENCES.filter((preference) => !prefer.includes(preference)),
];

/** The preferences of one plan: in their order, each once. Nothing where the plan says nothing, or an empty list. */
export function preferencesOf(
  { words, tree }: PlanReading,
  report: Report,
): readonly Preference[] | undefined {
  const { prefer } = words;
  if (prefer === undefined) return undefined;
  const written = typeof prefer === 'string' ? [prefer] : prefer;
  const found: Preference[] = [];
  written.forEach((preference, index) => {
    if (preference === undefined) return;
    if (!found.includes(preference)) found.push(preference);
    else {
      const place = placeWithin(tree, 'prefer', index);
      report(problem('duplicate-name', place, `"${preference}" stands here a second time`, 'name it once'));
    }
  });
  return found.length > 0 ? found : undefined;
}

/** Plans laid together have one timetable: the first that prefers anything decides, and others are told. */
export function checkPreferences(plans: readonly PlanReading[], report: Report): void {
  const quiet: Report = () => undefined;
  const saying = plans.flatMap((plan) => {
    const prefer = preferencesOf(plan, quiet);
    return prefer ? [{ plan, prefer, place: placeWithin(plan.tree, 'prefer') }] : [];
  });
  const [first, ...others] = saying;
  if (!first) return;
  const asFirst = preferenceOrder(first.prefer).join();
  for (const { prefer, place } of others) {
    if (preferenceOrder(prefer).join() === asFirst) continue;
    const message = `${first.place.file}, line ${first.place.line}, prefers ${first.prefer.join(', ')}, and counts: it was given first`;
    report(
      problem('preferences-differ', place, message, 'write the same in both, or give --prefer', 'warning'),
    );
  }
}
