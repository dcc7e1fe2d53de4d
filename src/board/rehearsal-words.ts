import { clean } from '../view/index.ts';
import { mishapWords } from './rehearsal-keys.ts';
import type { Control, Playing, Rehearsing } from './rehearsing.ts';

/** The words that lead a rehearsal in plain lines, beside those of a run. */
export const REHEARSAL_WORDS_HELP: readonly string[] = [
  'a rehearsal besides: hold, go; faster, slower; next, before;',
  '  see (what there is to be seen); wrong, wrong 2 (what can go wrong; the second of it)',
];

/** What a line of words asks of a rehearsal, carried out, as lines to print; nothing where it is a word of the run's own. */
export function rehearsalAsk(text: string, rehearsing: Rehearsing): readonly string[] | undefined {
  const [verb = '', about = ''] = text.trim().toLowerCase().split(/\s+/);
  const { stopped } = rehearsing.playing();
  switch (verb) {
    case 'hold':
    case 'go':
      return (verb === 'hold') === stopped
        ? [playingWords(rehearsing.playing())]
        : led({ kind: 'stop or go' }, rehearsing);
    case 'faster':
    case 'slower':
      return led({ kind: verb }, rehearsing);
    case 'next':
      return led({ kind: 'on' }, rehearsing);
    case 'before':
      return led({ kind: 'back' }, rehearsing);
    case 'see': {
      const { sees } = rehearsing.playing();
      return sees.length === 0 ? ['there is nothing to be seen'] : sees.map(sightWords);
    }
    case 'wrong':
      return wrong(about, rehearsing);
    default:
      return undefined;
  }
}

/** How a rehearsal plays, in a few words. That it is one stands before every line. */
export function playingWords({ speed, stopped, hands }: Playing): string {
  const goes = speed === 1 ? 'in real time' : `${Number(speed.toPrecision(3))} times as fast as life`;
  return `${hands === 'mine' ? 'with your hands, ' : ''}${stopped ? 'stopped; else ' : ''}${goes}`;
}

export const sightWords = (sight: string): string => `YOU SEE ${clean(sight)}`;

function led(control: Control, rehearsing: Rehearsing): readonly string[] {
  const { text, bad } = rehearsing.control(control);
  if (bad) return [`not done: ${clean(text)}`];
  // What happened, or how it stood then, is told by itself.
  return control.kind === 'on' || control.kind === 'back' ? [] : [playingWords(rehearsing.playing())];
}

function wrong(about: string, rehearsing: Rehearsing): readonly string[] {
  const mishaps = rehearsing.mishaps();
  if (mishaps.length === 0) return ['nothing can be made to go wrong any more'];
  const mishap = mishaps[Number(about) - 1];
  if (!mishap) return ['what goes wrong? say wrong and its figure', ...mishapWords(mishaps)];
  const { text } = rehearsing.control({ kind: 'go wrong', mishap });
  return [clean(text)];
}
