import type { Look } from './plain.ts';
import { stageOn, type ShowingView, type StageView } from './stage.ts';

/** How a demonstration stands, a line for each thing that a presenter wants to know. */
export function stageLines(stage: StageView | undefined): string[] {
  if (!stage) return [];
  const { now, next, swap, helper, change, due, late, out } = stage;
  const air = stage.phase === 'on air' ? `ON AIR ${stage.onAir}, ${stage.left} left` : stage.head;
  return [
    `${air}${stage.pace === '' ? '' : `: ${stage.pace}`}`,
    ...(now ? [`shown: ${shown(now)}, ${now.figures} ${now.meaning}${saying(now)}`] : []),
    ...(next ? [`next in ${next.figures}: ${shown(next)}${saying(next)}`] : []),
    ...(swap
      ? [
          `reach ${swap.wanted} for swap ${swap.what}, from ${swap.where}${swap.by === undefined ? '' : `, ${swap.by}`}`,
        ]
      : []),
    ...(late === undefined ? [] : [`late: ${late}`]),
    ...(out.length === 0 ? [] : [`left out: ${out.join('; ')}`]),
    ...(helper === undefined ? [] : [`helper: ${helper}`]),
    ...due.map((call) => `off view: ${call}`),
    ...(change ? [offered(stage)] : []),
  ];
}

const shown = ({ what, from }: ShowingView): string => (from === undefined ? what : `${what} (${from})`);
const saying = ({ say }: ShowingView): string => (say === undefined ? '' : `; say "${say}"`);
const offered = ({ pace, change }: StageView): string =>
  `STAGE ${pace}: "${change?.kind}" takes this: ${change?.words}`;

/** What has changed on the stage between two looks: that it runs over or under by enough to offer something, and its end. */
export function stageChanges(before: Look | undefined, { state, now }: Look): string[] {
  if (!state.setup.rundown) return [];
  const after = stageOn(state, now);
  const old = before && stageOn(before.state, before.now);
  if (!after) return [];
  const isNew =
    after.change && (old?.change?.step !== after.change.step || old.change.kind !== after.change.kind);
  return [
    ...(isNew ? [offered(after)] : []),
    ...(after.late !== undefined && old?.late === undefined ? [`STAGE late: ${after.late}`] : []),
    ...(after.phase === 'over' && old?.phase === 'on air' ? [`${after.head}: ${after.pace}`] : []),
  ];
}
