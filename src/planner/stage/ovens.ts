import type { Workload } from '../../plan/index.ts';
import type { Timetable } from '../timetable.ts';
import type { Stage } from './derive.ts';
import type { Piece } from './pieces.ts';

/** Oven steps in a row of which one is shown go to an oven that the audience sees. */
export function onStage(pieces: readonly Piece[], { workload, demonstration }: Stage): Piece[] {
  const seen = demonstration.ovens;
  if (seen.length === workload.kitchen.ovens.length) return [...pieces];
  const found = [...pieces];
  for (let from = 0; from < found.length; from += 1) {
    if (!found[from]?.step.oven) continue;
    let to = from;
    while (found[to + 1]?.step.oven) to += 1;
    const run = found.slice(from, to + 1);
    if (run.some(({ slot }) => slot !== undefined) && !run.some(({ step }) => step.oven?.oven !== undefined))
      found.splice(from, run.length, ...run.map((piece) => among(piece, seen)));
    from = to;
  }
  return found;
}

function among(piece: Piece, seen: readonly string[]): Piece {
  const { oven } = piece.step;
  return oven ? { ...piece, step: { ...piece.step, oven: { ...oven, among: seen } } } : piece;
}

/** The same workload in which each step that has to be in one of several ovens names the one that the timetable gives it. */
export function inTheirOvens(workload: Workload, { steps }: Timetable): Workload {
  const given = new Map(steps.map(({ step, oven }) => [step, oven]));
  return {
    ...workload,
    components: workload.components.map((component) => ({
      ...component,
      steps: component.steps.map((step) => {
        const name = given.get(step.id);
        if (!step.oven?.among || name === undefined) return step;
        const { among: _among, ...demand } = step.oven;
        return { ...step, oven: { ...demand, oven: name } };
      }),
    })),
  };
}
