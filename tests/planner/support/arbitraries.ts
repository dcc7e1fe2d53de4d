import fc from 'fast-check';
import type { Workload } from '../../../src/plan/index.ts';
import { seconds } from '../../../src/units/index.ts';
import { celsius } from '../../../src/units/index.ts';
import {
  step,
  workload,
  type ComponentSpec,
  type KitchenSpec,
  type StepSpec,
} from '../../support/workloads.ts';

/** How wild the random workloads are. */
export interface Size {
  readonly components: number;
  readonly stepsEach: number;
  readonly ovens: number;
  /** Lengths are whole minutes up to this. */
  readonly longest: number;
}

const someMinutes = (most: number, least = 0): fc.Arbitrary<string> =>
  fc.integer({ min: least, max: most }).map((count) => `${count} min`);

const maybe = <T>(value: fc.Arbitrary<T>, weight = 2): fc.Arbitrary<T | undefined> =>
  fc.oneof({ weight: 3, arbitrary: fc.constant(undefined) }, { weight, arbitrary: value });

const drop = <T extends object>(given: T): { [K in keyof T]: Exclude<T[K], undefined> } =>
  Object.fromEntries(Object.entries(given).filter(([, value]) => value !== undefined)) as {
    [K in keyof T]: Exclude<T[K], undefined>;
  };

const ovenWish = (ovens: number): fc.Arbitrary<StepSpec['oven']> =>
  fc
    .record({
      at: fc.constantFrom('30 C', '40 C', '50 C', undefined),
      door: fc.constantFrom('shut' as const, 'shut' as const, 'usable' as const, 'ajar' as const),
      shelves: fc.constantFrom(1, 1, 2),
      oven: maybe(fc.constantFrom('oven', ...(ovens > 1 ? ['oven 2'] : [])), 1),
    })
    .map(({ at, ...rest }) => drop(at === undefined ? { ...rest, off: true as const } : { ...rest, at }));

function stepSpec(size: Size): fc.Arbitrary<StepSpec> {
  const length = fc.oneof(
    { weight: 3, arbitrary: someMinutes(size.longest).map((takes) => ({ takes })) },
    {
      weight: 1,
      arbitrary: fc
        .tuple(fc.integer({ min: 0, max: 2 }), maybe(fc.integer({ min: 0, max: size.longest })))
        .map(([least, more]) => ({
          rest: (more === undefined ? [`${least} min`] : [`${least} min`, `${least + more} min`]) as [
            string,
            string?,
          ],
        })),
    },
  );
  const rest = fc.record({
    hands: fc.constantFrom('busy' as const, 'busy' as const, 'near' as const, 'free' as const),
    within: maybe(someMinutes(3)),
    after: maybe(someMinutes(2), 1),
    uses: maybe(fc.constantFrom({ pot: 1 }, { pot: 2 }, { tray: 1 }), 1),
    oven: maybe(ovenWish(size.ovens), 3),
  });
  return fc.tuple(length, rest).map(([first, second]) => {
    const oven = second.oven && 'rest' in first && first.rest[0] === '0 min' ? undefined : second.oven;
    return drop({ ...first, ...second, oven }) as StepSpec;
  });
}

const kitchen = (size: Size): fc.Arbitrary<KitchenSpec> =>
  fc
    .record({
      cooks: fc.constantFrom(1, 1, 2),
      near: fc.constantFrom(1, 2),
      soak: fc.constantFrom(0, 60),
      heats: fc.constantFrom(5, 10),
      cools: fc.constantFrom(5, 10),
      tolerance: fc.constantFrom(5, 10),
      shelves: fc.constantFrom(1, 2),
      pots: fc.constantFrom(1, 2),
    })
    .map(({ cooks, near, soak, heats, cools, tolerance, shelves, pots }) => ({
      cooks,
      near,
      ovens: Array.from({ length: size.ovens }, () => ({
        soak: seconds(soak),
        heats,
        cools,
        shelves,
        tolerance: celsius(tolerance),
      })),
      items: { pot: pots, tray: 1 },
    }));

/** Random plans in random kitchens, with every kind of rule. Components are a, b, c, ...; later ones may need earlier ones. */
export function workloads(size: Size): fc.Arbitrary<Workload> {
  const one = fc.record({
    steps: fc.array(stepSpec(size), { minLength: 1, maxLength: size.stepsEach }),
    keeps: maybe(someMinutes(6, 1), 1),
    needsEarlier: maybe(fc.integer({ min: 0, max: 9 })),
    holds: maybe(fc.tuple(fc.constantFrom('pot', 'tray'), fc.boolean()), 1),
  });
  return fc
    .tuple(
      kitchen(size),
      fc.array(one, { minLength: 1, maxLength: size.components }),
      maybe(someMinutes(2), 1),
    )
    .map(([kitchenSpec, drawn, margin]) => {
      const components: Record<string, ComponentSpec> = {};
      drawn.forEach(({ steps, keeps, needsEarlier, holds }, index) => {
        const name = 'abcdef'[index] ?? 'z';
        const needs = needsEarlier !== undefined && index > 0 ? ['abcdef'[needsEarlier % index] ?? 'a'] : [];
        const needer = drawn.findIndex(
          (other, place) =>
            place > index && other.needsEarlier !== undefined && other.needsEarlier % place === index,
        );
        const until =
          holds?.[1] && needer > index ? `${'abcdef'[needer]}.s0` : `${name}.s${steps.length - 1}`;
        components[name] = {
          ...(keeps !== undefined && { keeps }),
          steps: steps.map((spec, place) =>
            step(`s${place}`, {
              ...spec,
              ...(place === 0 && needs.length > 0 && { needs }),
              ...(place === 0 && holds && { holds: [{ item: holds[0], until }] }),
            }),
          ),
        };
      });
      return workload({ kitchen: kitchenSpec, components, ...(margin !== undefined && { margin }) });
    });
}
