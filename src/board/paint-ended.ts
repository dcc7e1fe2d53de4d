import { endedWords, wrap, type EndedView, type NowView } from '../view/index.ts';
import { BLANK, cutLine, line, type Line } from './lines.ts';
import { paintNow } from './paint-now.ts';

/** A run that is over: when it was served, how late, and what it teaches. */
export function paintEnded(now: NowView, ended: EndedView, width: number, rows: number): Line[] {
  const large = rows >= 12 ? paintNow(now, width, 6, false).slice(0, 4) : [];
  const services = ended.services.flatMap(({ text, tone }) =>
    wrap(text, width - 4, 2).map((part) =>
      line(`   ${part}`, { bold: true, ink: tone === 'care' ? 'care' : undefined }),
    ),
  );
  const words = endedWords(ended);
  const learnt = words.length === 0 ? ['as the plan says'] : words;
  return [...large, BLANK, ...services, BLANK, ...learnt.map((text) => line(`   ${text}`))]
    .map((row) => cutLine(row, width))
    .slice(0, rows);
}
