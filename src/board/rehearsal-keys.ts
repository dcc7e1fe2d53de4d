import { clean } from '../view/index.ts';
import type { Mishap } from '../rehearsal/index.ts';
import { ask, refuse, type Key, type Pressed, type Pressing } from './pressed.ts';
import type { Control } from './rehearsing.ts';
import { unprompted, type Prompt, type Ui } from './ui.ts';

/** What a key sets off in a rehearsal beside the board's own keys; nothing where it is none of its. */
export function rehearsalKey(
  ui: Ui,
  key: Key,
  mishaps: () => readonly Mishap[],
  pressing: Pressing,
): Pressed | undefined {
  const control = controlFor(key);
  if (control) return { ui, acts: [{ kind: 'rehearse', control }] };
  if (key !== 'e') return undefined;
  const choices = mishaps();
  return choices.length === 0
    ? refuse(ui, 'nothing can be made to go wrong any more', pressing)
    : ask({ ...ui, page: 'board' }, { kind: 'mishap', choices }, pressing);
}

function controlFor(key: Key): Control | undefined {
  switch (key) {
    case '0':
      return { kind: 'stop or go' };
    case '-':
      return { kind: 'slower' };
    // One key on many keyboards, with and without shift.
    case '+':
    case '=':
      return { kind: 'faster' };
    case 'enter':
      return { kind: 'on' };
    case 'backspace':
      return { kind: 'back' };
    default:
      return undefined;
  }
}

/** Makes what the figure chooses go wrong. */
export function answerMishap(
  ui: Ui,
  prompt: Extract<Prompt, { kind: 'mishap' }>,
  key: Key,
  pressing: Pressing,
): Pressed {
  const mishap = /^[1-9]$/.test(key) ? prompt.choices[Number(key) - 1] : undefined;
  if (!mishap) return ask(ui, prompt, pressing);
  return { ui: unprompted(ui), acts: [{ kind: 'rehearse', control: { kind: 'go wrong', mishap } }] };
}

/** The choices in words, as a list has them. */
export const mishapWords = (mishaps: readonly Mishap[]): readonly string[] =>
  mishaps.map(({ what }, index) => `${index + 1}  ${clean(what)}`);
