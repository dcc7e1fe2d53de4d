import type { KitchenCase } from './case.ts';

type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };

/**
 * A case with as much left out as can be while it still fails: every entry of every list and every field of every object is
 * tried, over and over. What can no longer be read as a case counts as not failing.
 */
export function smallest(given: KitchenCase, fails: (smaller: KitchenCase) => boolean): KitchenCase {
  let best = structuredClone(given) as unknown as Json;
  const stillFails = (json: Json): boolean => {
    try {
      return fails(json as unknown as KitchenCase);
    } catch {
      return false;
    }
  };
  let tries = 0;
  for (let shrunk = true; shrunk;) {
    shrunk = false;
    for (const json of smaller(best)) {
      tries += 1;
      if (tries > MOST) return best as unknown as KitchenCase;
      if (!stillFails(json)) continue;
      best = json;
      shrunk = true;
      break;
    }
  }
  return best as unknown as KitchenCase;
}

/** More smaller cases than this are not tried: one of them may take long. */
const MOST = 1500;

/** Without these it is no case. */
const NEEDED: ReadonlySet<string> = new Set([
  'name',
  'spec',
  'steps',
  'components',
  'kitchen',
  'plans',
  'request',
  'service',
]);

/** Everything that is one part smaller, the biggest parts first. */
function* smaller(json: Json): Generator<Json> {
  if (Array.isArray(json)) {
    const list: readonly Json[] = json;
    for (const place of list.keys()) yield list.filter((_, other) => other !== place);
    for (const [place, part] of list.entries())
      for (const less of smaller(part)) yield list.map((other, index) => (index === place ? less : other));
  } else if (typeof json === 'object' && json !== null) {
    const entries = Object.entries(json);
    for (const [key] of entries.filter(([other]) => !NEEDED.has(other)))
      yield Object.fromEntries(entries.filter(([other]) => other !== key));
    for (const [key, part] of entries)
      for (const less of smaller(part))
        yield Object.fromEntries(entries.map(([other, value]) => [other, other === key ? less : value]));
  } else if (typeof json === 'string' && /^[1-9]\d* s$/.test(json))
    yield `${Number.parseInt(json, 10) - 1} s`;
}
