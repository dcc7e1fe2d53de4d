import { parseDuration, seconds, type Seconds } from '../units/index.ts';
import { draftPlan } from './components.ts';
import { COOLING_RULE_NAMES, NO_RULES } from './cooling-rules.ts';
import { DEFAULTS } from './defaults.ts';
import { demonstrationOf } from './demonstration.ts';
import { problem, startOf, type Diagnostic, type Report } from './diagnostic.ts';
import {
  gather,
  readPlan,
  stepCount,
  treeOf,
  uniqueNames,
  type Loaded,
  type PlanReading,
  type Reading,
} from './files.ts';
import { kitchenFromTree, kitchenFromWords, type KitchenReading } from './kitchen.ts';
import { linkPlan } from './links.ts';
import type { Component, Kitchen, Plan, Preference, Workload } from './model.ts';
import { checkOrder } from './order.ts';
import { checkPreferences, preferencesOf } from './prefer.ts';
import { MAX_STEPS } from './shape.ts';
import type { SourceFile } from './source.ts';
import { placeWithin } from './tree.ts';
import { MAX_PIECES } from './words.ts';

export interface LoadOptions {
  /** A kitchen that takes the place of the ones that the plans name. */
  readonly kitchen?: SourceFile;
  /** Finds the kitchen file that a plan names; the name has only letters, digits, spaces and hyphens. */
  readonly findKitchen: (name: string) => SourceFile | Diagnostic | undefined;
  /** How many pieces to make instead of the plan's own yield; for one plan only. */
  readonly yields?: number;
  /** What is preferred whatever the plans say, so that it is no matter where they differ. */
  readonly prefer?: readonly Preference[];
  /** Where the wall clock hangs if the kitchen does not say: an IANA time zone. Anything else is a problem only then. */
  readonly timeZone: string;
}

/**
 * Reads plan files and the kitchen they are laid on. All problems of all files are told in one go; a workload is
 * given only where none of them is an error. Never throws on what a file holds.
 */
export function loadWorkload(
  files: readonly SourceFile[],
  options: LoadOptions,
): Loaded & { readonly workload?: Workload } {
  if (files.length === 0) throw new RangeError('no files to load');
  const { value, ...loaded } = gather((reading) => loadTogether(files, options, reading));
  return value ? { ...loaded, workload: value } : loaded;
}

function loadTogether(
  files: readonly SourceFile[],
  options: LoadOptions,
  reading: Reading,
): Workload | undefined {
  const names = uniqueNames(files);
  const read = files.flatMap((file, index) => readPlan(file, index, names[index] ?? 'plan', reading) ?? []);
  const chosen = chooseKitchen(read, options, reading);
  const kitchen = chosen?.kitchen;
  checkTogether(files, read, options, reading.report);
  const built = read.map((plan) => buildPlan(plan, kitchen, files.length > 1, options, reading.report));
  const components = built.flatMap((plan) => plan.components);
  if (chosen) checkRules(chosen, components, reading.report);
  return kitchen && { kitchen, plans: built.map(({ plan }) => plan), components };
}

/** Reads a kitchen file by itself. */
export function readKitchen(file: SourceFile, timeZone: string): Loaded & { readonly kitchen?: Kitchen } {
  const { value, ...loaded } = gather((reading) => kitchenFromFile(file, timeZone, reading)?.kitchen);
  return value ? { ...loaded, kitchen: value } : loaded;
}

/** Whoever asks for rules to be watched should know that none are; it is told once. */
function checkRules({ saysRules }: KitchenReading, components: readonly Component[], report: Report): void {
  const first = components.find(({ cooling }) => cooling !== undefined);
  if (saysRules || !first) return;
  const message = `"${first.name}" wants its cooling watched, and the kitchen does not say by which rules`;
  const hint = `write in the kitchen rules: and one of ${COOLING_RULE_NAMES.join(', ')}; or rules: ${NO_RULES}`;
  report(problem('no-rules', first.place, message, hint, 'warning'));
}

/** What concerns several files at once, or what was asked for with them. */
function checkTogether(
  files: readonly SourceFile[],
  plans: readonly PlanReading[],
  { prefer, yields }: LoadOptions,
  report: Report,
): void {
  const place = startOf(files[0]?.file ?? '');
  const steps = plans.reduce((sum, plan) => sum + stepCount(plan.tree), 0);
  if (plans.length > 1 && steps > MAX_STEPS) {
    report(
      problem('too-large', place, `the plans have over ${MAX_STEPS} steps together`, 'give fewer plans'),
    );
  }
  if (prefer === undefined) checkPreferences(plans, report);
  if (yields === undefined) return;
  if (files.length > 1) {
    const hint = 'change "makes" in the plans instead';
    report(problem('bad-yield', place, 'a yield can be given for one plan at a time', hint));
  }
  if (!Number.isInteger(yields) || yields < 1 || yields > MAX_PIECES) {
    report(
      problem(
        'bad-yield',
        place,
        `a yield of ${yields} pieces`,
        `give a whole number from 1 to ${MAX_PIECES}`,
      ),
    );
  }
}

/** The one kitchen for all plans. Every kitchen that is written out in a plan is checked, also one that is not used. */
function chooseKitchen(
  plans: readonly PlanReading[],
  options: LoadOptions,
  reading: Reading,
): KitchenReading | undefined {
  const given = options.kitchen && kitchenFromFile(options.kitchen, options.timeZone, reading);
  const found = new Map<string, KitchenReading | undefined>();
  const own = plans.map((plan) => ({ plan, kitchen: kitchenOf(plan, options, reading, found) }));
  if (options.kitchen) return given;
  const [first, ...others] = own;
  for (const { plan, kitchen } of others) {
    if (!first?.kitchen || !kitchen || sameKitchen(first.kitchen.kitchen, kitchen.kitchen)) continue;
    const message = `another kitchen than that of ${first.plan.file}`;
    const place = placeWithin(plan.tree, 'kitchen');
    reading.report(
      problem('kitchens-differ', place, message, 'plans laid together share one kitchen: give --kitchen'),
    );
  }
  return own.every(({ kitchen }) => kitchen) ? first?.kitchen : undefined;
}

/** The kitchen that a plan itself names or describes. */
function kitchenOf(
  plan: PlanReading,
  options: LoadOptions,
  reading: Reading,
  found: Map<string, KitchenReading | undefined>,
): KitchenReading | undefined {
  const { words, tree } = plan;
  const node = tree.entries.get('kitchen')?.value;
  if (typeof words.kitchen === 'object' && node) {
    return kitchenFromWords(
      words.kitchen,
      node,
      words.kitchen.kitchen ?? plan.name,
      options.timeZone,
      reading.report,
    );
  }
  if (options.kitchen) return undefined;
  const name = words.kitchen;
  if (typeof name !== 'string') {
    if (!node) {
      const hint = 'write kitchen: and the name of a kitchen file, or give one with --kitchen';
      reading.report(problem('no-kitchen', tree.place, 'the plan names no kitchen', hint));
    }
    return undefined;
  }
  if (found.has(name)) return found.get(name);
  const file = options.findKitchen(name);
  const kitchen = file && 'bytes' in file ? kitchenFromFile(file, options.timeZone, reading) : undefined;
  if (!file) {
    const hint = 'name a kitchen file, or give one with --kitchen';
    reading.report(
      problem('unknown-kitchen', placeWithin(tree, 'kitchen'), `there is no kitchen "${name}"`, hint),
    );
  } else if (!('bytes' in file)) {
    reading.report(file);
  }
  found.set(name, kitchen);
  return kitchen;
}

function kitchenFromFile(file: SourceFile, timeZone: string, reading: Reading): KitchenReading | undefined {
  const tree = treeOf(file, reading);
  return tree && kitchenFromTree(tree, timeZone, reading.report);
}

/** Whether two kitchens are the same but for where they are written, and what they are called. */
function sameKitchen(one: Kitchen, other: Kitchen): boolean {
  const said = ({ name: _name, title: _title, ...kitchen }: Kitchen): string =>
    JSON.stringify({ ...kitchen, ovens: kitchen.ovens.map(({ place: _place, ...oven }) => oven) });
  return one === other || said(one) === said(other);
}

/** Puts one plan together, scaled to its yield. */
function buildPlan(
  reading: PlanReading,
  kitchen: Kitchen | undefined,
  isOneOfSeveral: boolean,
  { yields }: LoadOptions,
  report: Report,
): { plan: Plan; components: readonly Component[] } {
  const { words, tree, name, file, index } = reading;
  const base = words.makes ?? { count: 1, of: 'pieces' };
  const pieces = yields !== undefined && yields >= 1 ? Math.min(yields, MAX_PIECES) : base.count;
  const margin = words.margin ?? defaultMargin();
  const prefix = isOneOfSeveral ? `${name}/` : '';
  const draft = draftPlan(words, tree, {
    plan: index,
    prefix,
    kitchen,
    pieces,
    basePieces: base.count,
    report,
  });
  const linked = linkPlan(draft, report);
  checkOrder(linked, { margin }, tree, report);
  const prefer = preferencesOf(reading, report);
  const demonstration = demonstrationOf(reading, draft, kitchen, report);
  const plan: Plan = {
    name,
    file,
    title: words.title ?? name,
    makes: { count: pieces, of: base.of },
    ...(words.serve && { serve: words.serve }),
    margin,
    ...(prefer && { prefer }),
    ...(demonstration && { demonstration }),
    components: linked.components.map((component) => component.id),
  };
  return { plan, components: linked.components };
}

function defaultMargin(): Seconds {
  const margin = parseDuration(DEFAULTS.margin);
  return margin.ok ? margin.value : seconds(600);
}
