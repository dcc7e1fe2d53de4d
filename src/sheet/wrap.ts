import stringWidth from 'string-width';
import { BREAK } from './words.ts';

/** The text padded or cut to a width in columns; a cut shows as a final `~`. */
export function fit(text: string, width: number): string {
  if (stringWidth(text) <= width) return text + ' '.repeat(width - stringWidth(text));
  let kept = '';
  for (const letter of text) {
    if (stringWidth(kept + letter) > width - 1) break;
    kept += letter;
  }
  return `${kept}~${' '.repeat(Math.max(0, width - 1 - stringWidth(kept)))}`;
}

/** Breaks a text into lines of at most `columns`, between words where it can; `first` and `further` begin the lines. */
export function wrapped(text: string, first: string, further: string, columns: number): string[] {
  const lines: string[] = [];
  let line = first;
  let empty = true;
  const next = (): void => {
    lines.push(line);
    line = further;
    empty = true;
  };
  for (const word of text.split(BREAK).flatMap((part) => pieces(part, columns - stringWidth(further)))) {
    if (!empty && stringWidth(line) + 1 + stringWidth(word) > columns) next();
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  next();
  return lines;
}

/** A word that is wider than a whole line, in pieces that fit. */
function pieces(word: string, width: number): string[] {
  if (stringWidth(word) <= width) return [word];
  const found: string[] = [''];
  for (const letter of word) {
    const last = found.at(-1) ?? '';
    if (stringWidth(last + letter) > width) found.push(letter);
    else found[found.length - 1] = last + letter;
  }
  return found;
}
