import { ovenModel, secondsTo } from '../heat/index.ts';
import type { Oven, OvenDemand } from '../plan/index.ts';
import type { Checked, Entry, VerifiedRule, Violation } from './verify.ts';

/** One stretch with a load in an oven. */
export interface Load extends Entry {
  readonly demand: OvenDemand;
  /** Degrees Celsius; undefined: the oven is wanted off. */
  readonly celsius: number | undefined;
}

/** The loads with a length in one oven, in order of start. */
export function loadsIn(checked: Checked, oven: Oven): Load[] {
  return checked.entries
    .flatMap((entry): Load[] => {
      const demand = entry.step.oven;
      if (!demand || entry.oven !== oven.name || entry.end <= entry.start) return [];
      return [
        {
          ...entry,
          demand,
          celsius: demand.heat.kind === 'at' ? demand.heat.temperature.celsius : undefined,
        },
      ];
    })
    .toSorted((a, b) => a.start - b.start);
}

/** Which oven each load is in, and whether the loads of an oven can be met together and one after another. */
export function loads(checked: Checked): Violation[] {
  const found = checked.entries.flatMap((entry) => choice(checked, entry));
  for (const oven of checked.workload.kitchen.ovens) {
    const all = loadsIn(checked, oven);
    for (const a of all) {
      const inside = all.filter((other) => other.start <= a.start && a.start < other.end);
      if (inside.reduce((sum, load) => sum + load.demand.shelves, 0) > oven.shelves)
        found.push(report('shelves', inside, `more than the ${oven.shelves} shelves of ${oven.name}`));
      for (const b of all) if (a !== b) found.push(...pair(checked, oven, a, b));
      found.push(...fromCold(checked, oven, a));
    }
  }
  return found;
}

const report = (rule: VerifiedRule, entries: readonly Entry[], message: string): Violation => ({
  rule,
  steps: entries.map((entry) => entry.step.id),
  message,
});

function choice(checked: Checked, entry: Entry): Violation[] {
  const { step, oven, component, place } = entry;
  if (!step.oven)
    return oven === undefined
      ? []
      : [report('oven', [entry], `${step.id} asks for no oven but is given ${oven}`)];
  if (!checked.workload.kitchen.ovens.some((other) => other.name === oven))
    return [report('oven', [entry], `${step.id} is given no oven of the kitchen`)];
  const named = namedFor(entry);
  if (named !== undefined)
    return named === oven ? [] : [report('oven', [entry], `${step.id} is not in the oven "${named}"`)];
  if (step.oven.among && !step.oven.among.includes(oven ?? ''))
    return [report('oven', [entry], `${step.id} is in none of the ovens that will do`)];
  const before = component.steps[place - 1];
  const other = before?.oven && checked.entryOf(before.id);
  if (!other || other.oven === oven) return [];
  return [report('oven', [entry, other], `${step.id} changes the oven in the middle of a run`)];
}

/** The oven a step names, or else the one named nearest before it in its run of oven steps, or else nearest after it. */
function namedFor({ component, place }: Entry): string | undefined {
  for (const side of [-1, 1]) {
    for (let here = place; component.steps[here]?.oven; here += side) {
      const name = component.steps[here]?.oven?.oven;
      if (name !== undefined) return name;
    }
  }
  return undefined;
}

/** Checks `a` against `b`, seen from `a`; the other way round is another call. */
function pair(checked: Checked, oven: Oven, a: Load, b: Load): Violation[] {
  const names = `${a.step.id} and ${b.step.id}`;
  if (a.end <= b.start) {
    const needed = takesOver(checked, oven, a, b) ? 0 : changing(checked, oven, a.celsius, b.celsius);
    if ((b.start - a.end) / 1000 >= needed) return [];
    return [report('oven change', [a, b], `${oven.name} cannot change so fast between ${names}`)];
  }
  if (b.end <= a.start) return [];
  const found: Violation[] = [];
  if (a.celsius === undefined || a.demand.door === 'ajar')
    found.push(
      report('temperature', [a, b], `${names} overlap, and the first wants ${oven.name} for itself`),
    );
  else if (b.celsius !== undefined && Math.abs(a.celsius - b.celsius) > oven.tolerance)
    found.push(
      report('temperature', [a, b], `${names} overlap in ${oven.name} and want different temperatures`),
    );
  const passes = [...(beside(checked, a, -1) ? [] : [a.start]), ...(beside(checked, a, 1) ? [] : [a.end])];
  if (b.demand.door === 'shut' && passes.some((moment) => b.start < moment && moment < b.end))
    found.push(report('door', [a, b], `${a.step.id} goes in or out while the door is shut for ${b.step.id}`));
  return found;
}

/** Seconds from one state to another; after an oven was off it counts as cold. */
function changing(checked: Checked, oven: Oven, from: number | undefined, to: number | undefined): number {
  if (to === undefined) return 0;
  const { ambient } = checked.workload.kitchen;
  const model = ovenModel(oven, ambient);
  if (from === undefined) return to > ambient ? secondsTo(model, ambient, to) + oven.soak : 0;
  if (Math.abs(to - from) <= oven.tolerance) return 0;
  return secondsTo(model, from, to) + (to > from ? oven.soak : 0);
}

/** The load that meets this one without a wait in the same oven: before it (-1) or after it (1). Steps without length are looked through. */
function beside(checked: Checked, load: Entry, side: -1 | 1): Entry | undefined {
  for (let place = load.place + side; ; place += side) {
    const step = load.component.steps[place];
    const entry = step && checked.entryOf(step.id);
    if (!entry || !step.oven || entry.oven !== load.oven) return undefined;
    const meets = side === -1 ? entry.end === load.start : entry.start === load.end;
    if (!meets) return undefined;
    if (entry.end > entry.start) return entry;
  }
}

/** Whether `b` takes over in the same load's run without asking for more heat than the oven step just before it. */
function takesOver(checked: Checked, oven: Oven, a: Load, b: Load): boolean {
  return (
    a.component === b.component && a.place < b.place && sameRun(checked, a, b) && notHotter(checked, oven, b)
  );
}

function sameRun(checked: Checked, a: Load, b: Load): boolean {
  return b.component.steps
    .slice(a.place, b.place)
    .every((step) => step.oven !== undefined && checked.entryOf(step.id)?.oven === b.oven);
}

/** Whether the oven step with a length just before the load, in its run, was as hot or hotter. */
export function notHotter(checked: Checked, oven: Oven, load: Load): boolean {
  for (let place = load.place - 1; ; place -= 1) {
    const step = load.component.steps[place];
    const entry = step && checked.entryOf(step.id);
    if (!entry || !step.oven || entry.oven !== load.oven) return false;
    if (entry.end <= entry.start) continue;
    if (load.celsius === undefined) return true;
    const { heat } = step.oven;
    return heat.kind === 'at' && heat.temperature.celsius + oven.tolerance >= load.celsius;
  }
}

/** Before now the oven was off, unless a run says otherwise: there must be time to heat it from the room's temperature. */
function fromCold(checked: Checked, oven: Oven, load: Load): Violation[] {
  const { now, options } = checked;
  if (now === undefined || options.progress || load.celsius === undefined) return [];
  const needed = changing(checked, oven, undefined, load.celsius);
  if ((load.start - now) / 1000 >= needed) return [];
  return [report('now', [load], `${oven.name} cannot be hot in time for ${load.step.id}`)];
}
