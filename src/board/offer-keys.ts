import { clean } from '../view/index.ts';
import { ask, only, refuse, send, type Key, type Pressed, type Pressing } from './pressed.ts';
import { noted, TAKE_BACK, unprompted, type Prompt, type Ui } from './ui.ts';

/** Shows the new timetable that is offered; where none is, asks for one. */
export function newTimetable(ui: Ui, pressing: Pressing): Pressed {
  const { proposal, asked } = pressing.state.replanning;
  if (proposal) {
    const ways = 1 + proposal.others.length;
    return ask({ ...ui, page: 'board' }, { kind: 'offer', id: proposal.id, ways }, pressing);
  }
  if (asked !== undefined) return only(noted(ui, 'a new timetable is being worked out', pressing.at));
  return send(ui, { kind: 'timetable asked' }, 'a new timetable is being worked out');
}

/** Takes the way out that a figure chooses (space: the first), or keeps the old timetable. */
export function answerOffer(
  ui: Ui,
  prompt: Extract<Prompt, { kind: 'offer' }>,
  key: Key,
  pressing: Pressing,
): Pressed {
  const { proposal } = pressing.state.replanning;
  const way = key === ' ' ? 1 : /^[1-9]$/.test(key) ? Number(key) : undefined;
  if ((way === undefined || way > prompt.ways) && key !== 'k') return ask(ui, prompt, pressing);
  const clear = unprompted(ui);
  if (!proposal) return refuse(clear, 'that timetable is offered no more', pressing);
  if (proposal.id !== prompt.id)
    return refuse(clear, 'another one is offered meanwhile: n shows it', pressing);
  if (key === 'k') return send(clear, { kind: 'declined' }, `the old timetable goes on${TAKE_BACK}`);
  const other = way === undefined || way === 1 ? undefined : proposal.others[way - 2];
  const what = other ? `: ${clean(other.what)}` : '';
  const { timetable } = other ?? proposal;
  return send(clear, { kind: 'timetable', timetable }, `new timetable${what}${TAKE_BACK}`);
}
