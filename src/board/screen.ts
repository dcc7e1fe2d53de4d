import type { BoardView } from '../view/index.ts';
import { cells, cut, wrap } from '../view/index.ts';
import { BLANK, cutLine, ends, fillLine, fit, line, widthOf, type Ink, type Line } from './lines.ts';
import { paintEnded } from './paint-ended.ts';
import { paintBoard } from './paint-board.ts';
import { columnsFor } from './paint-lanes.ts';
import { paintFar, paintTooSmall } from './paint-now.ts';
import { paintStage, stageFooter } from './paint-stage.ts';
import { showsStage } from './stage-keys.ts';
import { paintAlarms, paintAside } from './paint-alarms.ts';
import { paintHeat } from './paint-heat.ts';
import { paintAway, paintHelp, paintLog, paintMovedService, paintOffer, type LogEntry } from './pages.ts';
import { paintMishaps, paintRehearsal } from './paint-rehearsal.ts';
import { promptWords, TAKE_BACK, type ScreenContext } from './ui.ts';

/** The least a board can be drawn on: a terminal of 40x10, of which the last row stays free. */
const LEAST = { width: 40, height: 9 } as const;

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** Columns the shared time axis has on a screen so wide: what the view is asked for. */
export const axisWidth = (width: number): number => columnsFor(Math.max(LEAST.width, width)).axis;

/** The whole screen: exactly `height` rows, none wider than `width` cells. */
export function paintScreen(
  view: BoardView,
  context: ScreenContext,
  size: Size,
  log: readonly LogEntry[],
): Line[] {
  const { width, height } = size;
  if (width < LEAST.width || height < LEAST.height)
    return fit(
      paintTooSmall(view.now, smallNote(context), Math.max(1, width), Math.max(1, height)),
      width,
      height,
    );
  const head = [
    ...paintRehearsal(context, view.headline.clock, width),
    paintHeadline(view, context, width),
    ...banner(context, width),
  ];
  const foot = paintFooter(view, context, width);
  const rows = height - head.length - 1;
  const body = paintBody(view, context, width, rows, log);
  return fit([...head, ...fit(body, width, rows), foot], width, height);
}

/** On a screen too small for a board: what is asked, or what was said, or that it is too small. */
const smallNote = ({ ui, link, playing }: ScreenContext): string =>
  ui.prompt
    ? promptWords(ui.prompt)
    : (playing ? 'REHEARSAL  ' : '') +
      (ui.note?.text ?? link.ended ?? link.trouble ?? 'screen too small: needs 40x10');

function paintBody(
  view: BoardView,
  { ui, beat, playing, movedService }: ScreenContext,
  width: number,
  rows: number,
  log: readonly LogEntry[],
): Line[] {
  if (view.away) return paintAway(view.away, width, rows);
  if (ui.prompt?.kind === 'offer')
    return view.offer
      ? paintOffer(view.offer, width, rows)
      : [BLANK, line('   that timetable is offered no more')];
  if (movedService) return paintMovedService(movedService, width, rows);
  if (ui.prompt?.kind === 'mishap') return paintMishaps(ui.prompt.choices, width, rows);
  if (ui.prompt?.kind === 'aside') {
    const { prompt } = ui;
    const alarm = view.alarms.find((each) => each.key === prompt.key);
    return paintAside(alarm, prompt, width, rows);
  }
  switch (ui.page) {
    case 'far':
      return paintFar(view.far, width, rows, beat);
    case 'alarms':
      return paintAlarms(view, width, rows, beat);
    case 'temperatures':
      return paintHeat(view, width, rows);
    case 'log':
      return paintLog(log, width, rows);
    case 'help':
      return paintHelp(width, rows, {
        isStage: view.stage !== undefined,
        isRehearsal: playing !== undefined,
      });
    case 'board':
      if (view.stage && showsStage(ui, view.stage.phase))
        return paintStage(view.stage, view.alarms, width, rows, beat);
      if (view.ended) return paintEnded(view.now, view.ended, width, rows);
      return paintBoard(view, ui.selected, width, rows, beat);
  }
}

const TONES: Readonly<Record<BoardView['headline']['tone'], Ink | undefined>> = {
  plain: undefined,
  quiet: 'quiet',
  good: 'good',
  care: 'care',
  bad: 'bad',
};

function paintHeadline({ headline }: BoardView, { ui }: ScreenContext, width: number): Line {
  const margin: Line = [{ text: headline.margin, bold: true, ink: TONES[headline.tone] }, { text: ' ' }];
  // The word is left out where something would be cut for it.
  const withPromise = (left: Line, right: Line): Line => {
    const [last = { text: '' }, ...before] = right.toReversed();
    if (headline.promise === undefined) return right;
    const said = [...before.toReversed(), { text: `, ${headline.promise}`, ink: TONES[headline.tone] }, last];
    return widthOf(left) + 1 + widthOf(said) <= width ? said : right;
  };
  const page = ui.page === 'board' || ui.page === 'far' ? '' : `: ${ui.page}`;
  const row = (title: string, service: string): Line => [
    { text: ` ${headline.clock}`, bold: true },
    { text: headline.quiet === undefined ? '' : '  ' },
    { text: headline.quiet === undefined ? '' : ` ${headline.quiet} `, inverse: true },
    { text: `   ${title}${page}` },
    { text: service === '' ? '' : `   ${service}` },
  ];
  const { plans } = headline;
  // Several plans: each with its own service, and its own margin too where there is room.
  const rows =
    plans.length < 2
      ? []
      : [
          row(plans.map((plan) => `${plan.title} ${plan.service}, ${plan.margin}`).join('   '), ''),
          row(plans.map((plan) => `${plan.title} ${plan.service}`).join(', '), ''),
        ];
  const fitting = rows.find((each) => widthOf(each) + 3 + widthOf(margin) <= width);
  if (fitting) return ends(fitting, withPromise(fitting, margin), width);
  const service = headline.service === '' ? '' : `${headline.service}   `;
  const left = row(headline.title, '');
  return ends(left, withPromise(left, [{ text: service }, ...margin]), width);
}

function banner({ link }: ScreenContext, width: number): Line[] {
  const text = link.ended ?? link.trouble;
  if (text === undefined) return [];
  return wrap(text, width - 4, 2).map((row, index) =>
    fillLine(line(`${index === 0 ? ' ! ' : '   '}${row}`, { inverse: true, bold: true }), width),
  );
}

function paintFooter(view: BoardView, { ui, link }: ScreenContext, width: number): Line {
  // Once the run is over the row above says what any key does.
  if (link.ended !== undefined) return BLANK;
  if (ui.prompt)
    return [{ text: fillText(askWords(promptWords(ui.prompt), width), width), inverse: true, bold: true }];
  if (ui.note) {
    const { text, bad } = ui.note;
    const back = text.endsWith(TAKE_BACK);
    const said = ` ${bad ? '! ' : ''}${back ? text.slice(0, -TAKE_BACK.length) : text}`;
    const style = { bold: true, ink: bad ? 'bad' : undefined } as const;
    const room = width - (back ? cells(TAKE_BACK) : 0);
    return cutLine([...cutLine(line(said, style), room), ...(back ? line(TAKE_BACK) : [])], width);
  }
  if (view.away || (ui.page !== 'board' && ui.page !== 'far')) {
    const figures = view.away ? undefined : FIGURES[ui.page];
    const back: Line = [{ text: ' space', bold: true }, { text: ' back to the board  ' }];
    return cutLine([...back, ...(figures === undefined ? [] : hint(['1-9', figures]))], width);
  }
  if (view.stage && showsStage(ui, view.stage.phase) && view.now.kind !== 'alarm')
    return stageFooter(view.stage, width);
  const { press, who } = view.now;
  const answer: Line =
    press === undefined
      ? []
      : [{ text: ' space', bold: true }, { text: ` ${who === '' ? '' : `${cut(who, 20)}: `}${press}  ` }];
  const back: Hint = ['u', 'take back'];
  const earlier: Hint = ['b', 'it was earlier'];
  const help: Hint = ['?', 'all keys'];
  // Only whole hints are shown; the one that leads to all others stays longest.
  const choices = [...(press === undefined ? [] : [[back, earlier, help]]), [back, help], [help]];
  const rows = choices.map((hints): Line => [...answer, ...hints.flatMap(hint)]);
  return cutLine(rows.find((row) => widthOf(row) <= width) ?? answer, width);
}

/** What a figure does on a page that has its rows numbered. */
const FIGURES: Readonly<Partial<Record<ScreenContext['ui']['page'], string>>> = {
  alarms: 'set that one aside, or back',
  temperatures: 'a reading of that probe',
};

/** A question in one row; how to leave it is never cut. */
function askWords(words: string, width: number): string {
  const end = words.lastIndexOf('   Esc');
  if (end < 0 || cells(words) < width) return ` ${words}`;
  const leave = words.slice(end);
  return ` ${cut(words.slice(0, end), width - 1 - cells(leave))}${leave}`;
}

type Hint = readonly [key: string, does: string];
const hint = ([key, does]: Hint): Line => [{ text: ` ${key}`, bold: true }, { text: ` ${does}  ` }];

const fillText = (text: string, width: number): string =>
  fillLine(line(text), width)
    .map((span) => span.text)
    .join('');
