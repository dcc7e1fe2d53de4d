import { celsius, epochMs, seconds } from '../../../src/units/index.ts';
import {
  moment,
  step,
  type ComponentSpec,
  type KitchenSpec,
  type NamedStep,
} from '../../support/workloads.ts';
import type { KitchenCase } from './case.ts';
import { chance, type Chance } from './chance.ts';

/*
 * Kitchens as they are: one cook who makes filled and layered pastry of several kinds, with creams that chill, discs that
 * freeze, shells that are baked in a falling oven and dried, doughs that rest, and pieces that are filled at the end.
 */

export interface WorkingDay {
  /** How many steps there are in all; at least 2. */
  readonly steps: number;
  readonly seed: number;
  readonly ovens: 1 | 2;
  /** tight: services close together and short keeping times. loose: hours in between. */
  readonly mood: 'tight' | 'loose';
  /** Services are spread over so many days; on more than one the cook keeps hours. */
  readonly days: number;
}

type Plans = KitchenCase['plans'];
type Components = Record<string, ComponentSpec>;

export function workingDay({ steps, seed, ovens, mood, days }: WorkingDay): KitchenCase {
  const draw = chance(seed);
  const plans: Record<string, Plans[string]> = {};
  let left = steps;
  while (left > 0) {
    const name = `p${Object.keys(plans).length + 1}`;
    const all = draw.one([puffs, puffs, tart, layers, rolls])(draw, mood);
    const components = cut(all, left);
    const makes = 4 * draw.whole(4, 12);
    plans[name] = { makes, components, ...(draw.percent(40) && { margin: `${draw.whole(1, 3) * 5} min` }) };
    left -= Object.values(components).reduce((sum, { steps: own }) => sum + own.length, 0);
  }
  const hours = { from: { hour: 6, minute: 0 }, to: { hour: 21, minute: 0 } };
  return {
    kitchen: {
      ...kitchenSpec(ovens, steps),
      ...(days > 1 && { hours: Array.from({ length: 7 }, () => hours) }),
    },
    plans,
    request: { service: services(draw, Object.keys(plans).length, mood, days) },
  };
}

function kitchenSpec(ovens: number, steps: number): KitchenSpec {
  return {
    near: 2,
    items: {
      hob: 3,
      saucepan: 3,
      mixer: steps > 60 ? 2 : 1,
      tray: 8 + Math.ceil(steps / 15),
      'fridge shelf': 4 + Math.ceil(steps / 10),
      'freezer shelf': 3 + Math.ceil(steps / 20),
    },
    ovens: Array.from({ length: ovens }, (_, index) => ({
      shelves: 3,
      heats: index === 0 ? 10 : 12,
      cools: 4,
      tolerance: celsius(5),
      soak: seconds(index === 0 ? 600 : 300),
    })),
  };
}

/** Only so many steps of a plan's components: the first components that fit, the last one of them cut off at its end. */
function cut(components: Components, most: number): Components {
  const found: Components = {};
  let left = most;
  for (const [name, component] of Object.entries(components)) {
    if (left <= 0) break;
    const steps = component.steps.slice(0, left);
    left -= steps.length;
    found[name] = { ...component, steps: steps.map((each) => holdingWithin(name, each, steps)) };
  }
  return found;
}

/** The step without what it holds until a step that was cut off. */
function holdingWithin(component: string, { name, spec }: NamedStep, steps: readonly NamedStep[]): NamedStep {
  const { holds = [], ...others } = spec;
  const left = holds.filter(({ until }) => steps.some((other) => until === `${component}.${other.name}`));
  return step(name, left.length > 0 ? { ...others, holds: left } : others);
}

/** Moments of service through the afternoon and evening of each day. */
function services(draw: Chance, count: number, mood: WorkingDay['mood'], days: number): string[] {
  const perDay = Math.ceil(count / days);
  const apart = mood === 'tight' ? Math.min(30, 480 / perDay) : Math.min(120, 540 / perDay);
  return Array.from({ length: count }, (_, index) => {
    const day = moment('2027-05-12 00:00') + Math.floor(index / perDay) * 86_400_000;
    const first = mood === 'tight' ? 16 * 60 : 11 * 60;
    const minute = first + Math.round(((index % perDay) * apart + draw.whole(0, 10)) / 5) * 5;
    return new Date(epochMs(day + minute * 60_000)).toISOString().slice(0, 19).replace('T', ' ');
  });
}

const busy = { hands: 'busy' } as const;
const near = { hands: 'near' } as const;
const minutes = (draw: Chance, least: number, most: number): string => `${draw.whole(least, most)} min`;

/** Filled choux under a stamped lid: cream, lids, shells and the finish; 18 steps. */
function puffs(draw: Chance, mood: WorkingDay['mood']): Components {
  const high = draw.one(['210 C', '220 C', '200 C']);
  const shelves = draw.whole(1, 2);
  const tray = { tray: shelves };
  return {
    cream: cream(draw),
    lids: {
      steps: [
        step('mix', { ...busy, takes: minutes(draw, 5, 8), uses: ['mixer'] }),
        step('stamp', { ...busy, each: '6 s' }),
        step('freeze', { rest: ['45 min', '7 d'], uses: ['freezer shelf'] }),
      ],
    },
    shells: {
      keeps: mood === 'tight' ? '5 h' : '8 h',
      steps: [
        step('boil', { ...near, takes: minutes(draw, 4, 6), uses: ['hob', 'saucepan'] }),
        step('dry panade', { ...busy, takes: '3 min', within: '1 min' }),
        step('beat', { ...busy, takes: minutes(draw, 4, 6), within: '3 min', uses: ['mixer'] }),
        step('pipe', {
          ...busy,
          each: '8 s',
          within: '15 min',
          uses: tray,
          holds: [{ item: 'tray', count: shelves, until: 'shells.dry' }],
        }),
        step('lid', { ...busy, each: '4 s', needs: ['lids'] }),
        step('bake high', { takes: '12 min', within: '10 min', oven: { at: high, shelves }, uses: tray }),
        step('bake low', {
          takes: minutes(draw, 13, 18),
          within: '0 min',
          oven: { at: '180 C', shelves },
          uses: tray,
        }),
        step('pierce', { ...busy, each: '3 s', within: '2 min' }),
        step('dry', {
          takes: minutes(draw, 20, 30),
          within: '10 min',
          oven: { door: 'ajar', shelves },
          uses: tray,
        }),
      ],
    },
    finish: {
      keeps: mood === 'tight' ? '2 h' : '4 h',
      steps: [
        step('whip', { ...busy, takes: minutes(draw, 4, 6), uses: ['mixer'] }),
        step('fold', { ...busy, takes: '3 min', within: '10 min', needs: ['cream'] }),
        step('fill', { ...busy, each: '12 s', within: '20 min', needs: ['shells'] }),
      ],
    },
  };
}

function cream(draw: Chance): ComponentSpec {
  return {
    keeps: '20 h',
    steps: [
      step('warm', { ...near, takes: minutes(draw, 5, 8), uses: ['hob', 'saucepan'] }),
      step('thicken', {
        ...busy,
        takes: minutes(draw, 9, 13),
        within: '2 min',
        uses: ['hob', 'saucepan'],
      }),
      step('chill', { rest: ['3 h', '20 h'], uses: ['fridge shelf'] }),
    ],
  };
}

/** A tart with curd: a dough that rests, a case baked blind, and the filling; 14 steps. */
function tart(draw: Chance, mood: WorkingDay['mood']): Components {
  const heat = draw.one(['170 C', '180 C']);
  const shelves = draw.whole(1, 2);
  return {
    dough: {
      keeps: '2 d',
      steps: [
        step('rub', { ...busy, takes: minutes(draw, 8, 12), uses: ['mixer'] }),
        step('rest', { rest: ['1 h', '2 d'], uses: ['fridge shelf'] }),
      ],
    },
    curd: {
      keeps: '1 d',
      steps: [
        step('cook', { ...busy, takes: minutes(draw, 10, 14), uses: ['hob', 'saucepan'] }),
        step('sieve', { ...busy, takes: '3 min', within: '2 min' }),
        step('chill', { rest: ['2 h', '1 d'], within: '10 min', uses: ['fridge shelf'] }),
      ],
    },
    cases: {
      keeps: mood === 'tight' ? '6 h' : '10 h',
      steps: [
        step('roll', { ...busy, each: '20 s', needs: ['dough'] }),
        step('firm', { rest: ['20 min', '12 h'], uses: ['fridge shelf'] }),
        step('bake blind', {
          takes: minutes(draw, 15, 20),
          within: '15 min',
          oven: { at: heat, shelves, door: 'usable' },
        }),
        step('brush', { ...busy, each: '3 s', within: '5 min' }),
        step('seal', { takes: '4 min', within: '5 min', oven: { at: heat, shelves, door: 'usable' } }),
        step('cool', { rest: ['30 min', '6 h'] }),
      ],
    },
    filling: {
      keeps: mood === 'tight' ? '2 h' : '5 h',
      steps: [
        step('fill', { ...busy, each: '8 s', needs: ['cases', 'curd'] }),
        step('torch', { ...busy, each: '5 s', within: '30 min' }),
        step('trim', { ...busy, takes: minutes(draw, 5, 10) }),
      ],
    },
  };
}

/** A layered cake: sponge, syrup, cream, and putting it together; 12 steps. */
function layers(draw: Chance, mood: WorkingDay['mood']): Components {
  const shelves = draw.whole(1, 2);
  return {
    cream: cream(draw),
    sponge: {
      keeps: '12 h',
      steps: [
        step('whisk', { ...busy, takes: minutes(draw, 8, 12), uses: ['mixer'] }),
        step('spread', { ...busy, takes: '4 min', within: '5 min', uses: { tray: shelves } }),
        step('bake', {
          takes: minutes(draw, 9, 12),
          within: '5 min',
          oven: { at: draw.one(['190 C', '200 C']), shelves },
          uses: { tray: shelves },
        }),
        step('cool', { rest: ['30 min', '8 h'] }),
      ],
    },
    syrup: {
      steps: [
        step('boil', { ...near, takes: '6 min', uses: ['hob', 'saucepan'] }),
        step('cool', { rest: ['40 min', '2 d'] }),
      ],
    },
    cake: {
      keeps: mood === 'tight' ? '3 h' : '8 h',
      steps: [
        step('soak', { ...busy, takes: minutes(draw, 4, 6), needs: ['sponge', 'syrup'] }),
        step('layer', { ...busy, takes: minutes(draw, 12, 20), within: '20 min', needs: ['cream'] }),
        step('set', { rest: ['1 h', '6 h'], uses: ['fridge shelf'] }),
      ],
    },
  };
}

/** Yeast rolls: a dough that proves twice and may not wait, an egg wash and a hot oven; 9 steps. */
function rolls(draw: Chance, mood: WorkingDay['mood']): Components {
  const shelves = draw.whole(1, 3);
  const dough: NamedStep[] = [
    step('knead', { ...busy, takes: minutes(draw, 10, 14), uses: ['mixer'] }),
    step('prove', { rest: ['50 min', '80 min'], within: '5 min' }),
    step('shape', { ...busy, each: '10 s', within: '5 min', uses: { tray: shelves } }),
    step('prove again', { rest: ['30 min', '45 min'], within: '10 min', uses: { tray: shelves } }),
    step('wash', { ...busy, each: '2 s', within: '5 min' }),
    step('bake', {
      takes: minutes(draw, 14, 18),
      within: '5 min',
      oven: { at: draw.one(['210 C', '220 C']), shelves, door: 'usable' },
    }),
    step('cool', { rest: ['20 min'] }),
  ];
  return {
    rolls: { keeps: mood === 'tight' ? '3 h' : '6 h', steps: dough },
    butter: {
      steps: [
        step('beat', { ...busy, takes: '6 min', uses: ['mixer'] }),
        step('stand', { rest: ['10 min', '2 h'] }),
      ],
    },
  };
}
