import { minutes, temperatureOf } from '../units/index.ts';
import { clean } from '../view/index.ts';
import { probesOf } from './choices.ts';
import { ask, refuse, send, type Key, type Pressed, type Pressing } from './pressed.ts';
import { unprompted, type Prompt, type Ui } from './ui.ts';

/* Questions that are answered with figures: typed in sight, and counting only with Enter. */

export function startTimer(ui: Ui, length: number, { state }: Pressing): Pressed {
  const taken = new Set(state.timers.map((timer) => timer.name));
  const number = Array.from({ length: taken.size + 1 }, (_, index) => index + 1).find(
    (each) => !taken.has(`timer ${each}`),
  );
  const name = `timer ${number ?? 1}`;
  return send(ui, { kind: 'timer', name, length: minutes(length) }, `${name}: ${length} min`);
}

/** Figures of a text typed so far with one more key; nothing where the key is none of them. */
function typed(text: string, key: Key, signs: RegExp): string | undefined {
  if (key === 'backspace') return text.slice(0, -1);
  return signs.test(key) && text.length < 6 ? text + key : undefined;
}

/** The longest quick timer, in minutes: a day. */
const LONGEST_TIMER = 1440;

export function typeLength(
  ui: Ui,
  prompt: Extract<Prompt, { kind: 'timer length' }>,
  key: Key,
  pressing: Pressing,
): Pressed {
  if (key === 'enter') {
    const length = Number(prompt.text);
    if (prompt.text === '' || !Number.isFinite(length) || length <= 0 || length > LONGEST_TIMER)
      return refuse(unprompted(ui), 'a timer is 0.1 to 1440 minutes', pressing);
    return startTimer(unprompted(ui), length, pressing);
  }
  return ask(ui, { ...prompt, text: typed(prompt.text, key, /^[0-9.]$/) ?? prompt.text }, pressing);
}

export function typeReading(
  ui: Ui,
  prompt: Extract<Prompt, { kind: 'reading' }>,
  key: Key,
  pressing: Pressing,
): Pressed {
  if (key === 'f' || key === 'c') return ask(ui, { ...prompt, scale: key === 'f' ? 'F' : 'C' }, pressing);
  if (key === 'r' && prompt.others)
    return ask(ui, { kind: 'probe', probes: probesOf(pressing.state).slice(0, 9) }, pressing);
  if (key !== 'enter')
    return ask(ui, { ...prompt, text: typed(prompt.text, key, /^[0-9.-]$/) ?? prompt.text }, pressing);
  const figure = /^-?\d{1,4}(\.\d{1,2})?$/.test(prompt.text) ? Number(prompt.text) : undefined;
  const temperature = figure === undefined ? undefined : temperatureOf(figure, prompt.scale);
  if (!temperature || temperature.celsius < -80 || temperature.celsius > 600)
    return refuse(unprompted(ui), `"${prompt.text}" is no temperature of a kitchen`, pressing);
  return send(
    unprompted(ui),
    { kind: 'reading', probe: prompt.probe, temperature },
    `${clean(prompt.probe)}: ${prompt.text} ${prompt.scale}`,
  );
}
