import { ovenStretches } from '../bench/index.ts';
import { learnedWords, learnOven, withLearned, type OvenStretch } from '../heat/index.ts';
import { listRuns, openRun, type Store } from '../journal/index.ts';
import { machineClock, momentOf } from '../keeper/index.ts';
import type { Kitchen, Workload } from '../plan/index.ts';

/** No more than the latest so many runs of a kitchen teach: an oven changes over the years, and nobody waits for more. */
const RUNS = 12;

/**
 * The kitchen with what earlier runs in the store have taught of its ovens in the place of guesses, and what that was in
 * words. A run teaches where a probe hung in the air of an oven of the same name, in a kitchen of the same name. What
 * cannot be read teaches nothing.
 */
function taughtKitchen(
  store: Store,
  kitchen: Kitchen,
): { readonly kitchen: Kitchen; readonly words: readonly string[] } {
  const stretches = earlierStretches(store, kitchen);
  const words: string[] = [];
  const ovens = kitchen.ovens.map((oven) => {
    const learned = learnOven(stretches.get(oven.name) ?? [], oven, kitchen.ambient);
    const better = withLearned(oven, learned, kitchen.ambient);
    words.push(...learnedWords(learned, kitchen.ambient).map((line) => `${oven.name} ${line}`));
    return better;
  });
  return { kitchen: { ...kitchen, ovens }, words };
}

/** The workload in the kitchen as earlier runs have taught it. */
export function taughtWorkload(
  store: Store,
  workload: Workload,
): { readonly workload: Workload; readonly words: readonly string[] } {
  if (!hasOvenProbe(workload.kitchen)) return { workload, words: [] };
  const { kitchen, words } = taughtKitchen(store, workload.kitchen);
  return { workload: { ...workload, kitchen }, words };
}

const hasOvenProbe = ({ probes }: Kitchen): boolean =>
  probes?.some(({ oven }) => oven !== undefined) ?? false;

function earlierStretches(store: Store, kitchen: Kitchen): ReadonlyMap<string, readonly OvenStretch[]> {
  const found = new Map<string, OvenStretch[]>();
  const listed = listRuns(store);
  if (!listed.ok) return found;
  let left = RUNS;
  for (const { run, state } of listed.value) {
    if (state === 'unreadable' || left === 0) continue;
    const { contents } = openRun(store, run, { purpose: 'read', now: momentOf(machineClock()) });
    const there = contents?.setup.workload.kitchen;
    // What a simulated oven did is nothing to learn from.
    if (contents?.setup.rehearsal) continue;
    if (!contents || !there || there.name !== kitchen.name || !hasOvenProbe(there)) continue;
    left -= 1;
    for (const [oven, stretches] of ovenStretches(contents.setup, contents.events))
      found.set(oven, [...(found.get(oven) ?? []), ...stretches]);
  }
  return found;
}
