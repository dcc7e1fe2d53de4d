import type { z } from 'zod';
import {
  formatDuration,
  parseDuration,
  roughly,
  seconds,
  type DurationRange,
  type Seconds,
} from '../units/index.ts';
import type { DraftComponent, DraftPlan } from './components.ts';
import { DEFAULTS, known } from './defaults.ts';
import type { demonstrationShape, showingShape } from './demonstration-shape.ts';
import { problem, type DiagnosticCode, type Report } from './diagnostic.ts';
import type { PlanReading } from './files.ts';
import type { ComponentId, Demonstration, Kitchen, Place, Show, ShownPart, Step } from './model.ts';
import { suggest } from './nearest.ts';
import type { Read } from './read.ts';
import type { DraftStep } from './steps.ts';
import { keyPlaceIn, placeWithin, type Node } from './tree.ts';

type DemonstrationWords = Read<z.output<typeof demonstrationShape>>;
type ShowingWords = Read<z.output<typeof showingShape>>;

/** A longer one is a slip of the pen, or a working day. */
const LONGEST_AIR = seconds(12 * 3600);

/** What the story is read against. */
interface Stage {
  readonly plan: DraftPlan;
  readonly kitchen: Kitchen | undefined;
  readonly node: Node;
  readonly report: Report;
}

/** The demonstration that a plan carries; nothing where it carries none, or none that could be read. */
export function demonstrationOf(
  { words, tree }: PlanReading,
  plan: DraftPlan,
  kitchen: Kitchen | undefined,
  report: Report,
): Demonstration | undefined {
  const told = words.demonstration;
  const node = tree.entries.get('demonstration')?.value;
  if (!told || !node) return undefined;
  const stage: Stage = { plan, kitchen, node, report };
  const { lasts } = told;
  if (lasts !== undefined && (lasts === 0 || lasts > LONGEST_AIR)) {
    const message = lasts === 0 ? 'this demonstration lasts no time at all' : 'a demonstration of over 12 h';
    report(problem('bad-length', placeWithin(node, 'lasts'), message, 'write lasts: 22 min'));
  }
  const shown = showsOf(told, stage);
  const shows = shown.map(({ show }) => show);
  checkOrder(shown, stage);
  const within = told.within ?? known(parseDuration(DEFAULTS.airWithin));
  checkWithin(told, stage);
  const complete = shows.length > 0 && shows.length === told.shows?.length;
  if (lasts !== undefined && lasts > 0 && lasts <= LONGEST_AIR && complete)
    checkAirTime(shows, lasts, within, stage);
  const backups = backupsOf(told, stage);
  const ovens = ovensOf(told, stage);
  return {
    lasts: lasts ?? seconds(0),
    ...(told['on air'] && { onAir: told['on air'] }),
    within,
    helper: told.helper ?? false,
    ovens,
    backups,
    shows,
    place: keyPlaceIn(tree, 'demonstration'),
  };
}

function checkWithin({ within, lasts }: DemonstrationWords, { node, report }: Stage): void {
  const isAll = within !== undefined && lasts !== undefined && lasts > 0 && within >= lasts;
  if (within !== 0 && !isAll) return;
  const message =
    within === 0 ? 'nobody ends to the second' : 'the end may not be as far off as all of it is long';
  report(problem('bad-length', placeWithin(node, 'within'), message, 'write within: 30 s'));
}

/** One entry that could be read, and the step that it shows. */
interface Shown {
  readonly show: Show;
  readonly step?: DraftStep;
  readonly of?: DraftComponent;
}

function showsOf(told: DemonstrationWords, stage: Stage): Shown[] {
  const { node, report } = stage;
  if (told.shows?.length === 0) {
    const hint = 'write - { show: shells.pipe, first: 40 s }';
    report(problem('bad-showing', keyPlaceIn(node, 'shows'), 'nothing is shown', hint));
  }
  const list = node.kind === 'map' ? node.entries.get('shows')?.value : undefined;
  return (told.shows ?? []).flatMap((words, index) => {
    const item = list?.kind === 'list' ? list.items[index] : undefined;
    return words && item ? (showing(words, item, stage) ?? []) : [];
  });
}

const KINDS = ['show', 'talk', 'break', 'beauty'] as const;

function showing(words: ShowingWords, node: Node, stage: Stage): Shown | undefined {
  const { report } = stage;
  const inOrder = node.kind === 'map' ? [...node.entries.keys()] : [];
  const [kind, other] = inOrder.flatMap((word) => KINDS.find((each) => each === word) ?? []);
  if (kind === undefined) {
    const message = 'this does not say what the audience sees';
    report(problem('bad-showing', startOf(node), message, `give it one of ${KINDS.join(', ')}`));
    return undefined;
  }
  if (other !== undefined) {
    const message = `"${kind}" and "${other}" both say what the audience sees`;
    report(problem('bad-showing', keyPlaceIn(node, other), message, 'begin a showing of its own'));
    return undefined;
  }
  return kind === 'show' ? stepShown(words, node, stage) : standing(kind, words, node, report);
}

/** A talk, a break or the beauty. */
function standing(
  kind: 'talk' | 'break' | 'beauty',
  words: ShowingWords,
  node: Node,
  report: Report,
): Shown | undefined {
  for (const word of ['first', 'last'] as const) {
    if (!has(node, word)) continue;
    const message = `"${word}" says how much of a step is shown, and this shows none`;
    report(problem('bad-showing', keyPlaceIn(node, word), message, 'write lasts: 60 s'));
  }
  if (!has(node, 'lasts')) {
    report(problem('bad-showing', startOf(node), `how long does this ${kind} last?`, 'write lasts: 60-90 s'));
    return undefined;
  }
  const lasts = rangeOf('lasts', words, node, report);
  const about = words[kind];
  if (!lasts || about === undefined) return undefined;
  return { show: { kind, about, lasts, ...saying(words), place: startOf(node) } };
}

const saying = ({ say }: ShowingWords): { readonly say?: string } => (say === undefined ? {} : { say });

function stepShown(words: ShowingWords, node: Node, stage: Stage): Shown | undefined {
  const { report } = stage;
  const place = placeWithin(node, 'show');
  if (has(node, 'lasts')) {
    const hint = 'write first: 40 s or last: 30 s, or nothing to show all of it';
    const message = 'a step that is shown lasts as long as what is shown of it';
    report(problem('bad-showing', keyPlaceIn(node, 'lasts'), message, hint));
  }
  if (has(node, 'first') && has(node, 'last')) {
    const hint = 'make two showings of it: the first and the last of one step';
    report(problem('bad-showing', keyPlaceIn(node, 'last'), '"first" and "last" in one showing', hint));
    return undefined;
  }
  const found = words.show === undefined ? undefined : stepNamed(words.show, place, stage);
  if (!found) return undefined;
  const part: ShownPart = has(node, 'first') ? 'first' : has(node, 'last') ? 'last' : 'whole';
  const lasts =
    part === 'whole'
      ? whole(found.step.step, words, node, report)
      : ofPart(part, found.step.step, words, node, report);
  if (!lasts) return undefined;
  const { step } = found.step;
  checkOven(step, place, stage);
  return {
    show: { kind: 'step', step: step.id, part, lasts, ...saying(words), place: startOf(node) },
    ...found,
  };
}

function whole(
  { name, length }: Step,
  words: ShowingWords,
  node: Node,
  report: Report,
): DurationRange | undefined {
  if (words.usually !== undefined) {
    const hint = 'the step itself says how long it usually takes';
    report(problem('usually', keyPlaceIn(node, 'usually'), '"usually" goes with first, last or lasts', hint));
  }
  if (length.kind !== 'rest') return length.range;
  const message = `"${name}" is a rest: nobody knows how long all of it is`;
  report(
    problem('bad-showing', placeWithin(node, 'show'), message, 'show its first or its last: first: 20 s'),
  );
  return undefined;
}

function ofPart(
  part: 'first' | 'last',
  { name, length }: Step,
  words: ShowingWords,
  node: Node,
  report: Report,
): DurationRange | undefined {
  const lasts = rangeOf(part, words, node, report);
  if (!lasts) return undefined;
  const most = length.kind === 'rest' ? length.atMost : length.range.usual;
  if (most === undefined || lasts.high < most) return lasts;
  const usually =
    length.kind === 'rest' ? `rests at most ${roughly(most)}` : `usually takes ${roughly(most)}`;
  const message = `"${name}" ${usually}: there is no ${part} ${formatDuration(lasts.high)} of it`;
  report(problem('bad-showing', placeWithin(node, part), message, `leave "${part}" out to show all of it`));
  return undefined;
}

/** A length that the presenter decides within a range. */
function rangeOf(
  word: 'first' | 'last' | 'lasts',
  words: ShowingWords,
  node: Node,
  report: Report,
): DurationRange | undefined {
  const ends = words[word];
  if (!ends) return undefined;
  const { usually } = words;
  if (ends.low === 0) {
    report(problem('bad-length', placeWithin(node, word), 'this may last no time at all', 'write 20-40 s'));
    return undefined;
  }
  if (usually !== undefined && (usually < ends.low || usually > ends.high)) {
    const message = `the usual length lies outside the range after "${word}"`;
    report(
      problem('usually', placeWithin(node, 'usually'), message, 'widen the range, or move the usual length'),
    );
    return undefined;
  }
  return { ...ends, usual: usually ?? seconds(Math.round((ends.low + ends.high) / 2)) };
}

/** The step that an entry names as component.step. */
function stepNamed(
  text: string,
  place: Place,
  { plan, report }: Stage,
): { step: DraftStep; of: DraftComponent } | undefined {
  const [name = '', stepName, ...more] = text.split('.').map((part) => part.trim());
  const of = plan.components.get(name);
  if (!of) {
    if (plan.componentNames.has(name)) return undefined;
    const hint = suggest(name, [...plan.componentNames], 'write component.step');
    report(problem('unknown-component', place, `there is no component "${name}"`, hint));
    return undefined;
  }
  const step = more.length === 0 && stepName !== undefined ? of.stepsByName.get(stepName) : undefined;
  if (step) return { step, of };
  if (stepName !== undefined && of.stepNames.has(stepName) && more.length === 0) return undefined;
  const [message, hint] =
    stepName === undefined || more.length > 0
      ? [`"${text}" names no step`, `write a step of it: ${name}.${[...of.stepNames][0] ?? 'step'}`]
      : [`"${name}" has no step "${stepName}"`, suggest(stepName, [...of.stepNames], 'write component.step')];
  report(problem('unknown-step', place, message, hint));
  return undefined;
}

/** A step that wants an oven by name cannot be shown where that oven stands behind. */
function checkOven({ id, oven }: Step, place: Place, { node, kitchen, report }: Stage): void {
  const list = node.kind === 'map' ? node.entries.get('ovens')?.value : undefined;
  if (!oven || list?.kind !== 'list' || !kitchen) return;
  const seen = list.items.map((item) => (item.kind === 'scalar' ? item.written : ''));
  if (oven.oven === undefined ? seen.length > 0 : seen.includes(oven.oven)) return;
  const which =
    oven.oven === undefined
      ? 'an oven, and the audience sees none'
      : `the oven "${oven.oven}", which the audience does not see`;
  const message = `${id} wants ${which}`;
  report(problem('bad-showing', place, message, 'add it to ovens, or show another step'));
}

/** What is shown of one component goes on through its steps: an object on the table never grows younger. */
function checkOrder(shown: readonly Shown[], { report }: Stage): void {
  const latest = new Map<ComponentId, Shown & { readonly step: DraftStep }>();
  for (const { show, step, of } of shown) {
    if (show.kind !== 'step' || !step || !of) continue;
    const before = latest.get(of.component.id);
    latest.set(of.component.id, { show, step, of });
    if (!before || before.show.kind !== 'step' || before.step.index < step.index) continue;
    const [from, to] = [before.show.part, show.part];
    if (before.step.index === step.index && from === 'first' && to === 'last') {
      tooMuch(before.show, show, step.step, report);
      continue;
    }
    const isSame = before.step.index === step.index;
    const line = before.show.place.line;
    const message = isSame
      ? `${step.step.id} is shown a second time, after line ${line}`
      : `${step.step.id} is shown after ${before.step.step.id}, which is a later step`;
    const hint = isSame
      ? 'leave one of them out, or show first its beginning (first) and then its end (last)'
      : `put it before line ${line}, or leave it out`;
    report(problem('bad-showing', show.place, message, hint));
  }
}

function tooMuch(first: Show, last: Show, { id, length }: Step, report: Report): void {
  const most = length.kind === 'rest' ? length.atMost : length.range.usual;
  if (most === undefined || first.lasts.high + last.lasts.high <= most) return;
  const message = `the first and the last of ${id} are longer together than all of it`;
  report(problem('bad-showing', last.place, message, 'show it whole, or less of it'));
}

/** The air time must be between what everything lasts at the least and at the most; what nature decides counts as usual. */
function checkAirTime(
  shows: readonly Show[],
  lasts: Seconds,
  within: Seconds,
  { node, report }: Stage,
): void {
  const sum = (pick: (range: DurationRange) => number): Seconds =>
    seconds(shows.reduce((total, show) => total + Math.ceil(pick(airOf(show))), 0));
  const [least, most] = [sum(({ low }) => low), sum(({ high }) => high)];
  if (least <= lasts + within && most >= lasts - within) return;
  const place = placeWithin(node, 'lasts');
  const [message, hint] =
    least > lasts
      ? [
          `what is shown takes ${formatDuration(least)} at the least, and there are ${formatDuration(lasts)}`,
          'show less, or less of a step: first: 40 s',
        ]
      : [
          `what is shown fills ${formatDuration(most)} at the most, and there are ${formatDuration(lasts)}`,
          'show more, or let talks last longer',
        ];
  report(problem('air-time' satisfies DiagnosticCode, place, message, hint));
}

/** What a showing is reckoned with on air: what nature decides counts as usual. */
const airOf = (show: Show): DurationRange => {
  if (show.kind !== 'step' || show.part !== 'whole') return show.lasts;
  const { usual } = show.lasts;
  return { low: usual, usual, high: usual };
};

function backupsOf({ backups }: DemonstrationWords, { plan, node, report }: Stage): ComponentId[] {
  const found: ComponentId[] = [];
  (backups ?? []).forEach((name, index) => {
    if (name === undefined) return;
    const place = placeWithin(node, 'backups', index);
    const of = plan.components.get(name);
    if (!of) {
      if (plan.componentNames.has(name)) return;
      const hint = suggest(name, [...plan.componentNames], 'name a component');
      report(problem('unknown-component', place, `there is no component "${name}"`, hint));
    } else if (found.includes(of.component.id)) {
      report(problem('duplicate-name', place, `"${name}" stands here a second time`, 'name it once'));
    } else found.push(of.component.id);
  });
  return found;
}

function ovensOf({ ovens }: DemonstrationWords, { kitchen, node, report }: Stage): string[] {
  const there = (kitchen?.ovens ?? []).map(({ name }) => name);
  if (ovens === undefined) return there;
  const found: string[] = [];
  ovens.forEach((name, index) => {
    if (name === undefined) return;
    const place = placeWithin(node, 'ovens', index);
    if (found.includes(name)) {
      report(problem('duplicate-name', place, `"${name}" stands here a second time`, 'name it once'));
    } else if (kitchen && !there.includes(name)) {
      const hint = suggest(name, there, 'the kitchen has no oven');
      report(problem('unknown-oven', place, `the kitchen has no oven "${name}"`, hint));
    } else found.push(name);
  });
  return found;
}

/** The first word of an entry: the whole of it is too much to point at. */
function startOf(node: Node): Place {
  if (node.kind === 'map' && !node.flow) {
    const [first] = node.entries.values();
    if (first) return first.keyPlace;
  }
  return { ...node.place, endLine: node.place.line, endColumn: node.place.column + 1 };
}

const has = (node: Node, word: string): boolean => node.kind === 'map' && node.entries.has(word);
