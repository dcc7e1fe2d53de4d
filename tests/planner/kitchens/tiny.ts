import type { DayHours, Preference } from '../../../src/plan/index.ts';
import { celsius, epochMs, seconds, type EpochMs } from '../../../src/units/index.ts';
import {
  moment,
  step,
  type ComponentSpec,
  type KitchenSpec,
  type NamedStep,
  type PlanSpec,
  type StepSpec,
} from '../../support/workloads.ts';
import type { KitchenCase } from './case.ts';
import { chance, type Chance } from './chance.ts';

/*
 * Kitchens so small that every timetable can be tried: up to seven steps, with lengths of seconds, so that an oven is hot in
 * three seconds and a service stands at the very end of a cook's hours or of the day.
 */

export interface TinyOptions {
  readonly steps?: readonly [number, number];
  /** Whether a step in an oven may come out without a length. */
  readonly emptyLoads?: boolean;
  /** More of everything and longer limits, so that more steps have room. */
  readonly roomy?: boolean;
  /** Services at noon and work at any time. */
  readonly anyTime?: boolean;
  /** Whether a rest that the cook decides may want a hand. */
  readonly handsInRests?: boolean;
}

export function tinyKitchen(seed: number, options: TinyOptions = {}): KitchenCase {
  const draw = chance(seed);
  const shares = draw.one(SHARES);
  const [fewest, most] = options.steps ?? [2, 7];
  const sizes = split(draw, Math.max(draw.whole(fewest, most), draw.whole(fewest, most)));
  const planNames = draw.percent(25) && sizes.length > 1 ? ['p', 'q'] : ['p'];
  const ovens = draw.one([1, 1, 1, 2, 2]);
  const plans = Object.fromEntries(
    planNames.map((name, index) => {
      const mine = sizes.filter((_, place) => place % planNames.length === index);
      return [name, planSpec(draw, mine, ovens, { ...options, ...shares })];
    }),
  );
  const clock = options.anyTime ? noon(draw, options) : clockOf(draw);
  const service = planNames.map((_, index) =>
    written(epochMs(clock.service - (index > 0 ? draw.whole(0, 4) * 1000 : 0))),
  );
  return {
    kitchen: { ...kitchenSpec(draw, ovens, options), ...clock.kitchen },
    plans,
    request: {
      service: draw.percent(50) ? service : service.toReversed(),
      ...(clock.now !== undefined && { now: written(clock.now) }),
      ...(draw.percent(10) && { margins: 'drop' as const }),
      ...(draw.percent(40) && { prefer: preference(draw) }),
    },
  };
}

/** Of a hundred steps so many want an oven, use something and want hands; of a hundred components so many hold something. */
interface Shares {
  readonly oven: number;
  readonly uses: number;
  readonly hands: number;
  readonly holds: number;
  /** Of a hundred that want hands so many want the cook near; of a hundred lengths so many are rests, and so many waits have an end. */
  readonly near: number;
  readonly rests: number;
  readonly within: number;
}

const MIXED: Shares = { oven: 40, uses: 25, hands: 60, holds: 22, near: 33, rests: 27, within: 45 };
/** As a rule mixed, and now and then all about one thing. */
const SHARES: readonly [Shares, ...Shares[]] = [
  MIXED,
  MIXED,
  { ...MIXED, oven: 80, uses: 10 },
  { ...MIXED, uses: 70, holds: 60, oven: 20 },
  { ...MIXED, hands: 95, oven: 25, uses: 10 },
  { ...MIXED, hands: 90, near: 80, oven: 15 },
  { ...MIXED, rests: 60, within: 80, oven: 20, hands: 75 },
];

const written = (at: EpochMs): string => new Date(at).toISOString().slice(0, 19).replace('T', ' ');

function preference(draw: Chance): Preference[] {
  return draw.shuffled<Preference>(['fresh', 'day', 'oven']).slice(0, draw.whole(1, 3));
}

/** Sizes of components that come to so many steps. */
function split(draw: Chance, steps: number): number[] {
  const sizes: number[] = [];
  for (let left = steps; left > 0;) {
    const size = Math.min(left, draw.one([1, 1, 2, 2, 2, 3, 3, 4]));
    sizes.push(size);
    left -= size;
  }
  return sizes;
}

function kitchenSpec(draw: Chance, ovens: number, { roomy }: TinyOptions): KitchenSpec {
  const more = roomy ? 1 : 0;
  return {
    cooks: draw.one([1, 1, 1, 2]),
    near: more + draw.one([1, 1, 2]),
    items: { pot: more + draw.one([1, 2, 2, 2]), tray: more + draw.one([1, 2]) },
    ovens: Array.from({ length: ovens }, () => ({
      shelves: more + draw.one([1, 2, 2, 3]),
      heats: draw.one([600, 600, 1200, 700]),
      cools: draw.one([300, 600, 900]),
      tolerance: celsius(draw.one([5, 10])),
      soak: seconds(draw.one([0, 0, 1])),
    })),
  };
}

function planSpec(
  draw: Chance,
  sizes: readonly number[],
  ovens: number,
  options: TinyOptions & Shares,
): KitchenCase['plans'][string] {
  const components: Record<string, ComponentSpec> = {};
  const names: string[] = [];
  sizes.forEach((size, index) => {
    const name = 'abcdefghijklmnopqrstuvwxyz'[index] ?? 'z';
    const drawn = Array.from({ length: size }, (_, place) => stepSpec(draw, place, ovens, options));
    // Only where the next step follows at once does it matter how long a rest may last.
    const steps = drawn.map((spec, place) =>
      step(`s${place}`, drawn[place - 1]?.rest?.[1] && draw.percent(60) ? { ...spec, within: '0 s' } : spec),
    );
    components[name] = {
      steps: index > 0 && draw.percent(55) ? needing(draw, steps, names, components) : steps,
      ...(draw.percent(options.roomy ? 25 : 35) && {
        keeps: `${draw.one(options.roomy ? [6, 10, 12, 15, 20, 30] : [0, 1, 2, 3, 4, 6, 7])} s`,
      }),
    };
    names.push(name);
  });
  const spec: PlanSpec = { makes: draw.one([2, 3]), components: withHolds(draw, components, options.holds) };
  return {
    ...spec,
    ...(draw.percent(20) && { margin: `${draw.one([1, 2])} s` }),
    ...(draw.percent(25) && { prefer: preference(draw) }),
  };
}

function stepSpec(draw: Chance, place: number, ovens: number, options: TinyOptions & Shares): StepSpec {
  const length = lengthSpec(draw, options.rests);
  const empties = 'rest' in length && length.rest[0] === '0 s';
  const handless = 'rest' in length && options.handsInRests === false;
  return {
    ...length,
    ...(!handless &&
      draw.percent(options.hands) && {
        hands: draw.percent(options.near) ? ('near' as const) : ('busy' as const),
      }),
    ...(place > 0 &&
      draw.percent(options.within) && {
        within: `${draw.one(options.roomy ? [0, 1, 2, 4, 6, 12] : [0, 0, 1, 2, 3, 4])} s`,
      }),
    ...(place > 0 && draw.percent(15) && { after: `${draw.one([1, 2])} s` }),
    ...(draw.percent(options.uses) && { uses: draw.one([{ pot: 1 }, { pot: 1 }, { pot: 2 }, { tray: 1 }]) }),
    ...((!empties || options.emptyLoads) &&
      draw.percent(options.oven) && { oven: ovenSpec(draw, ovens, !empties) }),
  };
}

function lengthSpec(
  draw: Chance,
  rests: number,
): { takes: string } | { each: string } | { rest: [string, string?] } {
  if (draw.percent(100 - rests - 5)) return { takes: `${draw.one([1, 1, 2, 2, 3, 3, 4, 0])} s` };
  if (draw.percent((100 * 5) / (rests + 5))) return { each: draw.one(['0.5 s', '1 s', '0.7 s']) };
  const least = draw.one([0, 0, 1, 2]);
  return draw.percent(60)
    ? { rest: [`${least} s`, `${least + draw.whole(0, 3)} s`] }
    : { rest: [`${least} s`] };
}

function ovenSpec(draw: Chance, ovens: number, lasts: boolean): NonNullable<StepSpec['oven']> {
  const name = draw.one(ovens > 1 ? ['oven', 'oven 2'] : ['oven']);
  return {
    ...(draw.percent(85)
      ? { at: draw.one(['30 C', '40 C', '40 C', '50 C', '36 C', '20 C']) }
      : { off: true }),
    door: draw.one(['shut', 'shut', 'usable', 'usable', 'ajar']),
    shelves: lasts ? draw.one([1, 1, 1, 1, 2]) : 1,
    ...(draw.percent(25) && { oven: name }),
  };
}

/** One of the steps, as a rule the first, waits for a component made before, or for a step of one. */
function needing(
  draw: Chance,
  steps: readonly NamedStep[],
  names: readonly string[],
  components: Readonly<Record<string, ComponentSpec>>,
): NamedStep[] {
  const needer = draw.percent(60) ? 0 : draw.whole(0, steps.length - 1);
  const other = names[draw.whole(0, names.length - 1)] ?? 'a';
  const place = draw.whole(0, (components[other]?.steps.length ?? 1) - 1);
  const wanted = draw.percent(75) ? other : `${other}.s${place}`;
  return steps.map((each, index) =>
    index === needer ? step(each.name, { ...each.spec, needs: [wanted] }) : each,
  );
}

/** Something is kept from one step to a later one of its component, or of one that needs it. */
function withHolds(
  draw: Chance,
  components: Readonly<Record<string, ComponentSpec>>,
  share: number,
): Record<string, ComponentSpec> {
  return Object.fromEntries(
    Object.entries(components).map(([name, component]) => {
      if (!draw.percent(share)) return [name, component];
      const from = draw.whole(0, component.steps.length - 1);
      const own = `${name}.s${draw.whole(from, component.steps.length - 1)}`;
      const users = Object.entries(components).flatMap(([other, { steps }]) =>
        steps
          .filter(({ spec }) => spec.needs?.[0]?.split('.')[0] === name)
          .map((user) => `${other}.${user.name}`),
      );
      const until = draw.percent(60) ? (users[0] ?? own) : own;
      const item = draw.one(['pot', 'tray', 'tray']);
      const holding = component.steps.map((each, place) =>
        place === from ? step(each.name, { ...each.spec, holds: [{ item, until }] }) : each,
      );
      return [name, { ...component, steps: holding }];
    }),
  );
}

interface Clock {
  readonly service: EpochMs;
  readonly now?: EpochMs;
  readonly kitchen: Pick<KitchenCase['kitchen'], 'hours' | 'nights' | 'timeZone'>;
}

/** Service at noon, and now and then a moment before which nothing may be asked for. */
function noon(draw: Chance, { roomy }: TinyOptions): Clock {
  const [least, most] = roomy ? [25, 70] : [4, 24];
  const service = moment('2027-05-14 12:00');
  const now = draw.percent(20) ? { now: epochMs(service - draw.whole(least, most) * 1000) } : {};
  return { service, ...now, kitchen: {} };
}

/** When service is, what the cook's clock says and when there is work: often at the very edge. */
function clockOf(draw: Chance): Clock {
  const at = (text: string, after: number): EpochMs => epochMs(moment(text) + after * 1000);
  const back = (from: EpochMs, [least, most]: [number, number]): EpochMs =>
    epochMs(from - draw.whole(least, most) * 1000);
  const maybeNow = (service: EpochMs): { now?: EpochMs } =>
    draw.percent(20) ? { now: back(service, [4, 24]) } : {};
  const allowed = { kitchen: draw.percent(15) ? { nights: 'allowed' as const } : {} };
  switch (
    draw.one(['noon', 'noon', 'noon', 'evening', 'evening', 'morning', 'closing', 'opening', 'pause'])
  ) {
    case 'noon': {
      const service = at('2027-05-14 12:00', 0);
      return { service, ...maybeNow(service), kitchen: {} };
    }
    case 'evening': {
      const service = at('2027-05-14 22:00', draw.whole(-2, 9));
      return { service, ...maybeNow(service), ...allowed };
    }
    case 'morning': {
      // In Kolkata the clock stands five and a half hours further.
      const service = at('2027-05-14 00:30', draw.whole(-1, 12));
      const { kitchen } = allowed;
      return { service, now: back(service, [8, 26]), kitchen: { ...kitchen, timeZone: 'Asia/Kolkata' } };
    }
    case 'closing': {
      const service = at('2027-05-14 23:30', draw.whole(-2, 6));
      return { service, ...maybeNow(service), kitchen: { hours: everyDay(7, 0, 23, 30) } };
    }
    case 'opening': {
      const service = at('2027-05-14 07:00', draw.whole(2, 14));
      return { service, now: back(service, [14, 26]), kitchen: { hours: everyDay(7, 0, 23, 30) } };
    }
    case 'pause': {
      const service = at('2027-05-14 05:00', draw.whole(2, 12));
      return { service, kitchen: { hours: everyDay(5, 0, 4, 59) } };
    }
  }
}

function everyDay(fromHour: number, fromMinute: number, toHour: number, toMinute: number): DayHours[] {
  return Array.from({ length: 7 }, () => ({
    from: { hour: fromHour, minute: fromMinute },
    to: { hour: toHour, minute: toMinute },
  }));
}
