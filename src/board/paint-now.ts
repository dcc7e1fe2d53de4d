import { wrap, type FarView, type NowView } from '../view/index.ts';
import { large, largeLines, ROWS, type LetterSize } from './letters.ts';
import { BLANK, cutLine, ends, line, widthOf, type Ink, type Line, type Span } from './lines.ts';

/** The bar at the left of what is to be done; it alternates while nobody has heard it. */
const BAR = '██ ';
const BAR_OFF = '░░ ';
const NO_BAR = '   ';

/**
 * What the hands do now, in at most `rows` rows: whose it is, the call in large letters beside its clock, the words in
 * full, the caution, what breaks and when, and what else is due. `beat` is true on every other second.
 */
export function paintNow(now: NowView, width: number, rows: number, beat: boolean): Line[] {
  const pressing = now.kind === 'call' || now.kind === 'alarm';
  const ink: Ink | undefined = now.kind === 'alarm' ? 'bad' : pressing ? 'accent' : undefined;
  const bar = pressing ? (now.unheard && beat ? BAR_OFF : BAR) : NO_BAR;
  const inner = width - bar.length - 1;
  const block = rows >= 5 ? blockOf(now, inner, rows, ink) : undefined;
  const head = headOf(now, inner, block === undefined);
  const left = rows - head.length - (block?.lines.length ?? 0);
  const words: Told[] = block?.says === now.what ? [] : [{ text: now.what, style: { bold: true } }];
  const body = [...head, ...(block?.lines ?? []), ...tell([...words, ...detailsOf(now)], inner, left)];
  return body.slice(0, rows).map((row) => [{ text: bar, ink }, ...cutLine(row, inner)]);
}

/** A text below the large letters, in one or two rows. */
interface Told {
  readonly text: string;
  readonly style: Omit<Span, 'text'>;
}

/** The texts in at most `rows` rows: each gets one before any gets a second, and what is cut shows that it is. */
function tell(texts: readonly Told[], inner: number, rows: number): Line[] {
  const shown = texts.slice(0, Math.max(0, rows));
  let spare = rows - shown.length;
  return shown.flatMap(({ text, style }) => {
    const most = spare > 0 ? 2 : 1;
    const lines = wrap(text, inner, most);
    spare -= lines.length - 1;
    return lines.map((each) => line(each, style));
  });
}

/** What stands before whose it is: that it is an alarm, or that it is not due. */
const LABELS: Readonly<Record<NowView['kind'], string>> = {
  alarm: 'ALARM  ',
  call: '',
  open: 'SOON  ',
  nothing: '',
  served: '',
};

function headOf(now: NowView, inner: number, withFigures: boolean): Line[] {
  const label = `${LABELS[now.kind]}${now.kind === 'alarm' ? now.who : now.who.toUpperCase()}`;
  const clock = [withFigures ? (now.figures ?? '') : '', now.meaning ?? '']
    .filter((part) => part !== '')
    .join(' ');
  if (label === '' && clock === '') return [];
  return [
    ends(line(label, { bold: true, ink: now.kind === 'alarm' ? 'bad' : undefined }), line(clock), inner),
  ];
}

/**
 * The large letters and figures: on a big screen the largest that fit, else the longest of the call's wordings that fits
 * on one row of letters, or two where there is room.
 */
function blockOf(
  now: NowView,
  inner: number,
  rows: number,
  ink: Ink | undefined,
): { readonly says: string; readonly lines: Line[] } | undefined {
  const tries: readonly (readonly [LetterSize, number])[] = [
    ['block', rows >= 15 ? 2 : rows >= 9 ? 1 : 0],
    ['half', rows >= 10 ? 2 : 1],
  ];
  for (const [size, most] of tries) {
    const figures = now.figures === undefined ? undefined : large(now.figures, size, inner);
    const room = inner - (figures?.[0]?.length ?? 0) - (figures ? 3 : 0);
    // In the largest size only the full wording or its first clause: bigger must not mean that less is said.
    for (const says of [now.what, ...now.shorter.slice(0, size === 'block' ? 2 : undefined)]) {
      const text = most > 0 ? largeLines(says, size, room, most) : undefined;
      if (text) return { says, lines: beside(text, figures, inner, ink) };
    }
  }
  const figures = now.figures === undefined ? undefined : large(now.figures, 'half', inner);
  if (!figures) return undefined;
  // No wording fits in large letters: the words stand beside the figures.
  const words = wrap(now.what, inner - (figures[0]?.length ?? 0) - 3, figures.length);
  const lines = figures.map((row, index) =>
    ends(line(words[index] ?? '', { ink, bold: true }), line(row), inner),
  );
  return { says: words.join(' '), lines };
}

/** Rows of letters with the figures at the right end of the first. */
function beside(
  text: string[][],
  figures: string[] | undefined,
  inner: number,
  ink: Ink | undefined,
): Line[] {
  return text.flatMap((letters, at) => {
    const gap: Line[] = at > 0 && letters.length > ROWS.half ? [BLANK] : [];
    return [
      ...gap,
      ...letters.map((row, index) =>
        ends(
          line(row, { ink, bold: ink !== undefined }),
          line(at === 0 ? (figures?.[index] ?? '') : ''),
          inner,
        ),
      ),
    ];
  });
}

function detailsOf(now: NowView): Told[] {
  const told: Told[] = [];
  if (now.caution !== undefined) told.push({ text: `! ${now.caution}`, style: { ink: 'bad', bold: true } });
  if (now.stakes !== undefined)
    told.push({ text: now.stakes, style: { ink: now.kind === 'call' ? 'care' : undefined } });
  if (now.others.length > 0)
    told.push({ text: `also due: ${now.others.map(({ text }) => text).join('  ·  ')}`, style: {} });
  return told;
}

/** One call and its countdown, as large as the screen lets it be. */
export function paintFar(far: FarView, width: number, rows: number, beat: boolean): Line[] {
  const inner = width - 2;
  const centre = (row: Line): Line => {
    const gap = Math.max(0, Math.floor((width - widthOf(row)) / 2));
    return [{ text: ' '.repeat(gap) }, ...cutLine(row, width - gap)];
  };
  const figures = figuresOf(far.figures, inner, rows);
  const roomForWords = rows - (figures?.length ?? 0) - 6;
  const words = [far.what, ...far.shorter]
    .map((text) => largeLines(text, 'half', inner, roomForWords >= 7 ? 2 : 1))
    .find((found) => found !== undefined);
  const who = line(far.who.toUpperCase(), { bold: true, inverse: far.unheard && beat });
  const body: Line[] = [
    who,
    BLANK,
    ...(figures ?? []).map((row) => line(row, { ink: far.unheard ? 'bad' : 'accent' })),
    ...(far.meaning === '' ? [] : [line(far.meaning)]),
    BLANK,
    ...(words && roomForWords >= ROWS.half
      ? words.flatMap((letters) => [...letters.map((row) => line(row)), BLANK])
      : wrap(far.what, inner, 3).map((text) => line(text, { bold: true }))),
    ...wrap(far.below, inner, 2).map((text) => line(text)),
    ...(far.offer === undefined ? [] : wrap(far.offer, inner, 2).map((text) => line(text, { bold: true }))),
  ];
  const kept = body.slice(0, rows);
  const above = Math.floor((rows - kept.length) / 2);
  return [
    ...Array.from({ length: above }, () => BLANK),
    ...kept.map((row) => (widthOf(row) === 0 ? BLANK : centre(row))),
  ];
}

function figuresOf(text: string, width: number, rows: number): string[] | undefined {
  const sizes: readonly LetterSize[] = ['double', 'block', 'half'];
  for (const size of sizes) {
    if (rows < ROWS[size] + 9 && size !== 'half') continue;
    const drawn = text === '' ? undefined : large(text, size, width);
    if (drawn) return drawn;
  }
  return undefined;
}

/** What is to be done now on a screen that is too small for a board, and a note below it. */
export function paintTooSmall(now: NowView, note: string, width: number, rows: number): Line[] {
  const below = wrap(note, width, 3).map((text) => line(text));
  const who = now.who === '' ? '' : `${now.who}: `;
  const clock = now.figures === undefined ? '' : ` (${now.figures} ${now.meaning ?? ''})`;
  const call = wrap(`${who}${now.what}${clock}`, width, Math.max(1, rows - below.length));
  return [...call.map((text) => line(text, { bold: true })), ...below].slice(0, Math.max(1, rows));
}
