import { Chance } from '../../src/planner/core/random.ts';
import {
  decide,
  type ContingentLink,
  type OrdinaryLink,
  type UncertainNetwork,
} from '../../src/planner/stnu/index.ts';

const MINUTE = 60;

/**
 * A day's work as a network: components of six steps, each step of a length that nature decides (a fifth less to two fifths more than usual);
 * every other one takes the only pair of hands, in the order of a timetable; a wait before a step may be no longer than some minutes, what is finished
 * keeps some hours, and all is served at one time. Point 0 is the beginning of work; times are seconds.
 */
export function kitchenNetwork(steps: number, seed: number): UncertainNetwork {
  const chance = new Chance(seed);
  const contingent: ContingentLink[] = [];
  const links: OrdinaryLink[] = [];
  const [start, end] = [(step: number) => 1 + 2 * step, (step: number) => 2 + 2 * step];
  const service = 1 + 2 * steps;
  const atLeast = (from: number, to: number, weight: number): void => {
    links.push({ from: to, to: from, weight: -weight });
  };
  const busy: { readonly step: number; readonly at: number }[] = [];
  let clock = 0;
  for (let step = 0; step < steps; step += 1) {
    const usual = MINUTE * (2 + chance.below(20));
    const low = Math.round(0.8 * usual);
    contingent.push({ start: start(step), end: end(step), low, high: Math.round(1.4 * usual) });
    const isFirst = step % 6 === 0;
    if (isFirst) clock = MINUTE * chance.below(10 * steps);
    else {
      atLeast(end(step - 1), start(step), 0);
      if (chance.below(3) === 0)
        links.push({ from: end(step - 1), to: start(step), weight: MINUTE * (1 + chance.below(20)) });
    }
    if (step % 2 === 0) busy.push({ step, at: clock });
    clock += usual + MINUTE * chance.below(30);
    if (step % 6 === 5 || step === steps - 1) {
      atLeast(end(step), service, 0);
      links.push({ from: end(step), to: service, weight: 60 * MINUTE * (1 + chance.below(6)) });
    }
  }
  busy.sort((a, b) => a.at - b.at);
  busy.slice(1).forEach(({ step }, place) => atLeast(end(busy[place]?.step ?? 0), start(step), 0));
  links.push({ from: 0, to: service, weight: 11 * steps * MINUTE });
  return { points: service + 1, links, contingent };
}

/** The same with its windows loosened, by what is missing and ten minutes, where a circle asks for it: controllable, and hardly more. */
export function loosened(network: UncertainNetwork): UncertainNetwork {
  const links = [...network.links];
  for (;;) {
    const answer = decide({ ...network, links });
    if (answer.kind === 'controllable') return { ...network, links };
    const index = answer.cycle.find(
      (link) => link.kind === 'ordinary' && (links[link.index]?.weight ?? 0) > 0,
    )?.index;
    const link = links[index ?? -1];
    if (index === undefined || !link) throw new Error('a circle without a window');
    links[index] = { ...link, weight: link.weight + answer.short + 10 * MINUTE };
  }
}
