import { probesAsked, type Claim, type Component, type Step } from '../plan/index.ts';
import type { OvenSetting, Timetable } from '../planner/index.ts';
import { clockFrom, minutes, secondsBetween, wallClock, weekday, type EpochMs } from '../units/index.ts';
import { isCold, isHob, labelOf, nameOf, type Naming } from './naming.ts';
import { claimWords, heatWords } from './words.ts';

/** A stretch of work, and what should stand ready before it begins. */
export interface Stretch {
  readonly at: EpochMs;
  readonly end: EpochMs;
  /** Components that begin in it: what goes into them is weighed out before. */
  readonly weigh: readonly string[];
  /** Equipment that its steps take, as many as at once; without hobs and cold shelves. */
  readonly tools: readonly Claim[];
  /** Shelves in the cold to be cleared, as many as at once. */
  readonly room: readonly Claim[];
  /** What comes out of the cold, and when; not before, for it may not wait. */
  readonly cold: readonly OutOfTheCold[];
  /** Ovens that must be hot in it. */
  readonly ovens: readonly OvenSetting[];
  /** What a probe is wanted for. */
  readonly probes: readonly string[];
}

export interface OutOfTheCold {
  readonly what: string;
  readonly shelf: string;
  readonly at: EpochMs;
  /** The step that takes it, as the sheet calls it. */
  readonly use: string;
}

/** Work that pauses for no longer than this is one stretch: there is no time to fetch and weigh in between. */
const PAUSE = minutes(15);

/** A step as planned, with what the plan says about it. */
interface Placed {
  readonly step: Step;
  readonly component: Component;
  readonly at: EpochMs;
  readonly end: EpochMs;
}

/** The stretches for which something has to stand ready, in order of time. */
export function stretchesOf(naming: Naming, timetable: Timetable): Stretch[] {
  const placed = timetable.steps
    .flatMap(({ step, start, end }): Placed[] => {
      const found = naming.known.get(step);
      return found ? [{ ...found, at: start, end }] : [];
    })
    .toSorted((a, b) => a.at - b.at);
  const groups: { readonly steps: Placed[]; end: EpochMs }[] = [];
  for (const step of placed) {
    // What is free wants hands only for a moment, when it begins.
    const end = step.step.hands === 'free' ? step.at : step.end;
    const last = groups.at(-1);
    if (last && secondsBetween(last.end, step.at) <= PAUSE) {
      last.steps.push(step);
      if (end > last.end) last.end = end;
    } else {
      groups.push({ steps: [step], end });
    }
  }
  return groups.map(({ steps, end }) => stretchOf(naming, timetable, steps, end)).filter(wantsSomething);
}

/** Whether anything has to stand ready for it. */
export const wantsSomething = ({ weigh, tools, room, cold, ovens, probes }: Stretch): boolean =>
  [weigh, tools, room, cold, ovens, probes].some((list) => list.length > 0);

function stretchOf(naming: Naming, timetable: Timetable, steps: readonly Placed[], end: EpochMs): Stretch {
  const at = steps.reduce((first, step) => (step.at < first ? step.at : first), end);
  const items = new Set(steps.flatMap(({ step }) => [...step.uses, ...step.holds].map(({ item }) => item)));
  const claims = [...items].map((item): Claim => ({ item, count: mostAtOnce(item, steps, timetable) }));
  const begun = steps.filter(({ step, component }) => component.steps[0] === step);
  return {
    at,
    end,
    weigh: [...new Set(begun.map(({ component }) => labelOf(naming, component)))],
    tools: claims.filter(({ item }) => !isCold(naming, item) && !isHob(naming, item)),
    room: claims.filter(({ item }) => isCold(naming, item)),
    cold: outOfTheCold(naming, steps),
    ovens: timetable.settings.filter(
      (setting) =>
        setting.heat.kind === 'at' &&
        setting.hotBy > setting.at &&
        setting.hotBy >= at &&
        setting.hotBy <= end,
    ),
    probes: [...new Set(steps.flatMap(({ step }) => probesAsked(step.until)))],
  };
}

/** How many of an item the steps of a stretch take at once; what is held is used by the component's own steps first. */
function mostAtOnce(item: string, steps: readonly Placed[], timetable: Timetable): number {
  const endOf = new Map(timetable.steps.map(({ step, end }) => [step, end]));
  const held = steps.flatMap(({ step, component, at, end }) =>
    step.holds
      .filter((claim) => claim.item === item)
      .map((claim) => ({ component, at, end: endOf.get(claim.until) ?? end, count: claim.count })),
  );
  const taken = steps.map(({ at: moment }) => {
    const holding = held.filter(({ at, end }) => at <= moment && end > moment);
    const using = steps.filter(({ at, end }) => at <= moment && end > moment);
    const beyond = using.map(({ step, component }) => {
      const used = step.uses.find((claim) => claim.item === item)?.count ?? 0;
      return Math.max(0, used - sum(holding.filter((one) => one.component === component)));
    });
    return sum(holding) + beyond.reduce((total, count) => total + count, 0);
  });
  return Math.max(1, ...taken);
}

const sum = (claims: readonly { readonly count: number }[]): number =>
  claims.reduce((total, { count }) => total + count, 0);

/** What steps take from the cold: components that they need, and what their own component left there. */
function outOfTheCold(naming: Naming, steps: readonly Placed[]): OutOfTheCold[] {
  const found = new Map<string, OutOfTheCold>();
  for (const { step, component, at } of steps) {
    const before = component.steps[component.steps.indexOf(step) - 1];
    const sources = [...(before ? [before.id] : []), ...step.needs];
    for (const source of sources) {
      const stored = naming.known.get(source);
      const shelf = stored?.step.uses.find(({ item }) => isCold(naming, item))?.item;
      if (!stored || shelf === undefined || step.uses.some(({ item }) => item === shelf)) continue;
      const what = labelOf(naming, stored.component);
      if (!found.has(`${what}/${shelf}`))
        found.set(`${what}/${shelf}`, { what, shelf, at, use: nameOf(naming, step.id) });
    }
  }
  return [...found.values()];
}

/** What is to stand ready, one line for each kind of thing: `weigh out` and `cream, lids`. */
export function readyWords(
  stretch: Stretch,
  timeZone: string,
): { readonly what: string; readonly words: string }[] {
  const clock = (moment: EpochMs): string => clockFrom(moment, stretch.at, timeZone);
  return [
    { what: 'weigh out', words: stretch.weigh.join(', ') },
    { what: 'tools', words: stretch.tools.map(claimWords).join(', ') },
    { what: 'probe for', words: stretch.probes.join(', ') },
    { what: 'room on', words: stretch.room.map(claimWords).join(', ') },
    {
      what: 'from cold',
      words: stretch.cold
        .map(({ what, shelf, at, use }) => `${what} off the ${shelf} at ${clock(at)} (${use})`)
        .join('; '),
    },
    {
      what: 'oven on',
      words: stretch.ovens
        .map(
          ({ oven, heat, at, hotBy }) =>
            `${oven} to ${heatWords(heat)} at ${clock(at)}, ready by ${clock(hotBy)}`,
        )
        .join('; '),
    },
  ].filter(({ words }) => words !== '');
}

/** `Have ready by Fri 22:34, for work to 22:44`. */
export const readyHead = ({ at, end }: Stretch, timeZone: string): string =>
  `Have ready by ${weekday(at, timeZone)} ${wallClock(at, timeZone)}${end > at ? `, for work to ${clockFrom(end, at, timeZone)}` : ''}`;
