import { movedAs, movedBy, plansToServe, serviceCalled } from './guests.ts';
import { ask, only, refuse, send, type Key, type Pressed, type Pressing } from './pressed.ts';
import { noted, TAKE_BACK, unprompted, type Prompt, type Ui } from './ui.ts';
import type { Happening, ServiceMove } from '../bench/index.ts';

type Guests = Extract<Prompt, { kind: 'guests' }>;

/** The guests come earlier or later: asks whose, where several plans are still to be served, and by how much. */
export function guests(ui: Ui, pressing: Pressing): Pressed {
  const { state, now } = pressing;
  if (state.setup.rundown) return refuse(ui, 'a demonstration is shown when you begin it', pressing);
  const plans = plansToServe(state);
  if (plans.length === 0) return refuse(ui, 'everything has been served', pressing);
  if (plans.length === 1) return askHowMuch(ui, plans, pressing);
  const names = plans.map((plan) => serviceCalled(state, plan, now));
  return ask(ui, { kind: 'whose guests', plans, names }, pressing);
}

const askHowMuch = (ui: Ui, plans: readonly number[], pressing: Pressing): Pressed =>
  ask(ui, { kind: 'guests', plans, way: 'later' }, pressing);

/** A figure chooses a plan; 0 is all of them. */
export function answerWhose(
  ui: Ui,
  prompt: Extract<Prompt, { kind: 'whose guests' }>,
  key: Key,
  pressing: Pressing,
): Pressed {
  if (key === '0') return askHowMuch(ui, prompt.plans, pressing);
  const plan = /^[1-9]$/.test(key) ? prompt.plans[Number(key) - 1] : undefined;
  return plan === undefined ? ask(ui, prompt, pressing) : askHowMuch(ui, [plan], pressing);
}

/** By how much; then, with what it would mean in sight, whether it is so. */
export function answerGuests(ui: Ui, prompt: Guests, key: Key, pressing: Pressing): Pressed {
  const { typed, moves } = prompt;
  if (typed !== undefined) return type(ui, prompt, typed, key, pressing);
  if (/^[0-9]$/.test(key)) return moved(ui, { ...prompt, count: Number(key) || 10 }, pressing);
  switch (key) {
    case 'e':
      return moved(ui, { ...prompt, way: 'earlier' }, pressing);
    case 'l':
      return moved(ui, { ...prompt, way: 'later' }, pressing);
    case 't':
      return ask(ui, { kind: 'guests', plans: prompt.plans, way: prompt.way, typed: '' }, pressing);
    case ' ':
      return moves ? move(ui, moves, prompt.answer, pressing) : ask(ui, prompt, pressing);
    case 'k':
      return moves && prompt.answer?.kind === 'proposal'
        ? move(ui, moves, undefined, pressing)
        : ask(ui, prompt, pressing);
    default:
      return ask(ui, prompt, pressing);
  }
}

/** The question, with what it would mean if it is known by how much. */
function moved(ui: Ui, { plans, way, count }: Guests, pressing: Pressing): Pressed {
  if (count === undefined) return ask(ui, { kind: 'guests', plans, way }, pressing);
  const moves = movedBy(pressing.state, plans, way === 'earlier' ? -count : count);
  return suppose(ui, { kind: 'guests', plans, way, count, moves }, moves, pressing);
}

function suppose(ui: Ui, prompt: Guests, moves: readonly ServiceMove[], pressing: Pressing): Pressed {
  const asked = ask({ ...ui, page: 'board' }, prompt, pressing);
  return { ui: asked.ui, acts: [{ kind: 'suppose', moves }] };
}

function type(ui: Ui, prompt: Guests, typed: string, key: Key, pressing: Pressing): Pressed {
  if (key === 'e' || key === 'l')
    return ask(ui, { ...prompt, way: key === 'e' ? 'earlier' : 'later' }, pressing);
  if (key === 'backspace') return ask(ui, { ...prompt, typed: typed.slice(0, -1) }, pressing);
  if (key !== 'enter') {
    const longer = /^[0-9:]$/.test(key) && typed.length < 5 ? typed + key : typed;
    return ask(ui, { ...prompt, typed: longer }, pressing);
  }
  const { plans, way } = prompt;
  const moves = movedAs(pressing.state, plans, way, typed, pressing.now);
  return moves
    ? suppose(ui, { kind: 'guests', plans, way, moves }, moves, pressing)
    : refuse(unprompted(ui), `"${typed}" is neither minutes nor a time of day, like 19:45`, pressing);
}

/** Moves service, with the timetable that was in sight for it. */
function move(ui: Ui, moves: readonly ServiceMove[], answer: Guests['answer'], pressing: Pressing): Pressed {
  const happening = serviceMoved(moves, answer);
  if (!happening) return only(noted(unprompted(ui), 'no service is moved', pressing.at));
  return send(unprompted(ui), happening, `service is moved${TAKE_BACK}`);
}

/** The happening that moves service, with the timetable that was found for it where it is to be taken. */
export function serviceMoved(moves: readonly ServiceMove[], answer: Guests['answer']): Happening | undefined {
  const [first, ...also] = moves;
  if (!first) return undefined;
  return {
    kind: 'service moved',
    ...first,
    ...(also.length > 0 ? { also } : {}),
    ...(answer?.kind === 'proposal' ? { timetable: answer.timetable } : {}),
  };
}
