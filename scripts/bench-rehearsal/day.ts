import { loadWorkload, type Workload } from '../../src/plan/index.ts';
import { between, chance } from '../../src/rehearsal/chance.ts';
import { seconds } from '../../src/units/index.ts';

/*
 * A long day of one pair of hands, made up: sixty steps in twelve components, as a plan that is written and read like any other.
 * Four creams that are cooked and must become cold, three pastes that are rolled and frozen, three batches of shells that bake
 * hot and then lower in the one oven, and two finishes that need them all. Lengths come from the seed.
 */

/** A figure of the made-up day: between two, a whole number. */
type Draw = (least: number, most: number) => number;

/** The made-up day of a seed, read as a plan. */
export function longDay(seed: number): Workload {
  const text = new TextEncoder();
  const { workload, diagnostics } = loadWorkload(
    [{ file: 'long-day.yaml', bytes: text.encode(planText(seed)) }],
    {
      findKitchen: () => ({ file: 'two-mixers.yaml', bytes: text.encode(KITCHEN) }),
      timeZone: 'UTC',
    },
  );
  if (!workload) throw new Error(diagnostics.map(({ message }) => message).join('\n'));
  return workload;
}

const KITCHEN = `thirdhand: 1
kitchen: two-mixers
title: One oven, two mixers
cooks: 1
near: 2
room: 21 C
ovens:
  oven:
    shelves: 2
    heats: 22 to 200 C in 11 min
    cools: 220 to 180 C in 12 min
    tolerance: 8 C
    soak: 8 min
    load: 10 C
hobs: 3
cold:
  fridge shelf: 4
  freezer shelf: 3
tools:
  mixer: 2
  saucepan: 3
  bowl: 8
  cooling rack: 4
  tray: { count: 8, carries: pieces }
`;

function planText(seed: number): string {
  let asked = 0;
  const draw: Draw = (least, most) => {
    asked += 1;
    return between(seconds(least), seconds(most), chance(seed, 'long day', asked));
  };
  const components = [
    ...['vanilla', 'lemon', 'nut', 'wine'].map((name) => cream(name, draw)),
    ...['short', 'rye', 'seed'].map((name) => paste(name, draw)),
    ...['round', 'long', 'small'].map((name, index) =>
      shells(name, ['short', 'rye', 'seed'][index] ?? '', draw),
    ),
    finish('evening', ['vanilla', 'lemon'], ['round', 'long'], draw),
    finish('late', ['nut', 'wine'], ['small'], draw),
  ];
  return `thirdhand: 1
title: A long day
makes: 24 pieces
serve: 19:00
margin: 30 min
kitchen: two-mixers
components:
${components.join('\n')}
`;
}

/** A length with a range about its usual one. */
function takes(usual: number): string {
  const [low, high] = [Math.floor(usual * 0.85), Math.ceil(usual * 1.15)];
  return `takes: ${low}-${high} min, usually: ${usual} min`;
}

const cream = (name: string, draw: Draw): string => `  ${name}:
    cooling: cooked
    steps:
      - warm: { ${takes(draw(5, 7))}, hands: near, uses: [hob, saucepan], until: { cue: steam at the rim } }
      - thicken: { ${takes(draw(8, 11))}, hands: busy, within: 10 min, uses: [hob, saucepan], until: { cue: a clean track } }
      - ice: { ${takes(draw(20, 30))}, hands: near, within: 20 min, uses: [bowl], until: { probe: ${name}, falls to: 21 C } }
      - chill: { rest: 2-20 h, within: 30 min, uses: [fridge shelf], until: { probe: ${name}, falls to: 5 C } }`;

const paste = (name: string, draw: Draw): string => `  ${name} paste:
    steps:
      - mix: { ${takes(draw(5, 8))}, hands: busy, uses: [mixer] }
      - roll: { ${takes(draw(4, 7))}, hands: busy, within: 60 min }
      - stamp: { each: ${draw(4, 6)} s, hands: busy, within: 45 min }
      - freeze: { rest: 45 min - 2 d, within: 20 min, uses: [freezer shelf] }`;

const shells = (name: string, lids: string, draw: Draw): string => `  ${name} shells:
    keeps: 8 h
    steps:
      - boil: { ${takes(draw(4, 6))}, hands: near, uses: [hob, saucepan], until: { cue: it boils hard } }
      - beat: { ${takes(draw(6, 9))}, hands: busy, within: 15 min, uses: [mixer], until: { cue: it falls in a V } }
      - pipe: { each: ${draw(6, 9)} s, hands: busy, within: 30 min, uses: [tray], holds: { tray: cool } }
      - lid: { each: ${draw(3, 5)} s, hands: busy, within: 30 min, needs: [${lids} paste] }
      - bake high: { takes: ${draw(10, 13)} min, within: 30 min, oven: { at: 220 C, door: shut }, uses: [tray] }
      - bake low: { ${takes(draw(13, 16))}, hands: near, within: 0 min, oven: { at: 180 C, door: shut }, uses: [tray], until: { cue: firm } }
      - pierce: { each: 3 s, hands: busy, within: 8 min, uses: [tray] }
      - cool: { takes: 30 min, within: 15 min, uses: [cooling rack] }`;

const finish = (
  name: string,
  creams: readonly string[],
  shellsNeeded: readonly string[],
  draw: Draw,
): string => `  ${name}:
    keeps: 3 h
    steps:
      - loosen: { ${takes(draw(4, 6))}, hands: busy, uses: [bowl], needs: [${creams.join(', ')}] }
      - whip: { ${takes(draw(4, 6))}, hands: busy, within: 10 min, uses: [mixer], until: { cue: soft peaks } }
      - fold: { ${takes(draw(3, 5))}, hands: busy, within: 10 min, uses: [bowl] }
      - fill: { each: ${draw(6, 8)} s, hands: busy, within: 20 min, needs: [${shellsNeeded.map((each) => `${each} shells`).join(', ')}] }`;
