import type { AlarmView, BoardView } from '../view/index.ts';
import { cells, cut, wrap } from '../view/index.ts';
import { BLANK, cutLine, ends, fillLine, line, widthOf, type Ink, type Line, type Span } from './lines.ts';
import {
  columnsFor,
  paintAxis,
  paintLane,
  paintOvenRow,
  paintOvenTall,
  tallRows,
  type Columns,
} from './paint-lanes.ts';
import { paintFar, paintNow, paintTooSmall } from './paint-now.ts';
import { paintStage, stageFooter } from './paint-stage.ts';
import { showsStage } from './stage-keys.ts';
import { paintAlarm, paintAlarms, paintAside } from './paint-alarms.ts';
import { heatRows, paintHeat, paintHeatRows } from './paint-heat.ts';
import { paintAway, paintHelp, paintLog, paintOffer, paintOfferRows, type LogEntry } from './pages.ts';
import { paintMovedService } from './pages.ts';
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

/** How many rows each part of the board gets. */
interface Rows {
  now: number;
  next: number;
  lanes: number;
  axis: number;
  /** 1 for an oven in one row, more for the drawing. */
  ovens: 'none' | 'row' | 'tall';
  alarms: number;
  /** Of a new timetable that is offered. */
  offer: number;
  offerGap: number;
  timers: number;
  /** Of probes that something waits for. */
  heat: number;
  gaps: number;
  /** A blank row between components. */
  airy: boolean;
}

function paintBoard(
  view: BoardView,
  selected: number | undefined,
  width: number,
  rows: number,
  beat: boolean,
): Line[] {
  const alarms = view.alarms.filter((alarm) => alarm.key !== view.now.key);
  const share = shareRows(view, alarms.length, rows, width);
  const columns = columnsFor(width);
  const gap = (nth: number): Line[] => (share.gaps >= nth ? [BLANK] : []);
  const spare = share.gaps >= 6 ? [BLANK] : [];
  return [
    ...gap(1),
    ...fit(paintNow(view.now, width, share.now, beat), width, share.now),
    ...spare,
    ...gap(2),
    ...paintNext(view, width, share.next),
    ...gap(3),
    ...(share.axis > 0 ? [paintAxis(view.axis, columns)] : []),
    ...spaced(paintLanes(view, selected, columns, share.lanes), share.airy),
    ...(share.ovens === 'tall' ? gap(5) : []),
    ...paintOvens(view, columns, share.ovens),
    ...(share.offerGap > 0 ? [BLANK] : []),
    ...(view.offer ? paintOfferRows(view.offer, width, share.offer) : []),
    ...gap(4),
    ...paintAlarmRows(alarms, width, share.alarms, beat),
    ...(share.timers > 0 ? [paintTimers(view, width)] : []),
    ...paintHeatRows(view, width, share.heat),
  ];
}

/** Hands out rows in the order of what a cook needs most; what does not fit is left out whole. */
function shareRows(view: BoardView, alarms: number, rows: number, width: number): Rows {
  const lanes = view.lanes.length;
  const ovens = view.ovens.length;
  const share: Rows = {
    now: 3,
    next: 0,
    lanes: 0,
    axis: 0,
    ovens: 'none',
    alarms: 0,
    offer: 0,
    offerGap: 0,
    timers: 0,
    heat: 0,
    gaps: 0,
    airy: false,
  };
  let left = rows - share.now;
  const give = (wanted: number, take: () => void): void => {
    if (wanted > 0 && wanted <= left) {
      take();
      left -= wanted;
    }
  };
  const tall = view.ovens.reduce((sum, oven) => sum + tallRows(oven), 0);
  give(alarms > 0 ? 1 : 0, () => (share.alarms = 1));
  give(view.offer ? 1 : 0, () => (share.offer = 1));
  const someLanes = Math.min(lanes, 4, left);
  give(someLanes, () => (share.lanes = someLanes));
  give(1, () => (share.next = 1));
  give(3, () => (share.now = 6));
  give(1, () => (share.axis = 1));
  give(ovens, () => (share.ovens = 'row'));
  give(1, () => (share.next = 2));
  const watched = heatRows(view);
  give(Math.min(1, watched), () => (share.heat = 1));
  const aside = view.heat.probes.some((probe) => !probe.watched && probe.reads !== undefined);
  give(view.timers.length > 0 || aside ? 1 : 0, () => (share.timers = 1));
  const moreLanes = Math.min(lanes - share.lanes, left);
  give(moreLanes, () => (share.lanes += moreLanes));
  give(alarms > 0 ? 1 : 0, () => (share.alarms = 2));
  const moreHeat = Math.min(Math.max(0, watched - 1), 2, left);
  give(share.heat > 0 ? moreHeat : 0, () => (share.heat += moreHeat));
  const moves = view.offer?.lines.length ?? 0;
  give(Math.min(2, moves), () => (share.offer += Math.min(2, moves)));
  give(1, () => (share.now = 7));
  give(1, () => (share.gaps = 1));
  give(1, () => (share.gaps = 2));
  give(1, () => (share.gaps = 3));
  give(alarms > 0 ? 1 : 0, () => (share.gaps = 4));
  if (width >= 100 && share.ovens === 'row')
    give(tall - ovens + 1, () => ((share.ovens = 'tall'), (share.gaps = Math.max(5, share.gaps))));
  give(alarms > 1 ? 2 : 0, () => (share.alarms = 4));
  const moreNow = Math.min(10 - share.now, left);
  give(moreNow, () => (share.now += moreNow));
  give(alarms > 2 ? 2 : 0, () => (share.alarms = 6));
  give(1, () => (share.next = 3));
  give(2, () => (share.gaps = Math.max(6, share.gaps)));
  const more = Math.min(Math.max(0, moves - 2), 4);
  give(view.offer && share.offer > 1 ? more : 0, () => (share.offer += more));
  give(view.offer ? 1 : 0, () => (share.offerGap = 1));
  give(lanes, () => (share.airy = true));
  give(6, () => (share.now = 16));
  give(alarms > 3 ? 2 * (alarms - 3) : 0, () => (share.alarms = 2 * alarms));
  give(2, () => (share.next = 5));
  return share;
}

/** What comes next, and beside it what the hands are on, where NOW does not say it. */
function paintNext(view: BoardView, width: number, rows: number): Line[] {
  const shown = view.next.slice(0, rows);
  const clock = Math.max(5, ...shown.map((next) => next.clock.length));
  const wait = Math.max(7, ...shown.map((next) => next.wait.length));
  const pressing = view.now.kind === 'call' || view.now.kind === 'alarm';
  const saysHands = pressing && (width >= 100 || (width >= 72 && view.busy));
  return shown.map((next, index) => {
    const words: Line = [
      { text: index === 0 ? '   next ' : '        ', bold: true },
      { text: `${next.clock.padStart(clock)}  `, bold: true },
      { text: `${next.wait.padEnd(wait)}  `, ink: 'quiet' },
      { text: next.who === '' ? '' : `${next.who}: `, bold: index === 0 },
      { text: next.what },
    ];
    // What the hands are on never cuts what comes next.
    const hands = line(`   ${view.hands} `);
    const fits = widthOf(words) + widthOf(hands) <= width;
    return ends(words, index === 0 && saysHands && fits ? hands : [], width);
  });
}

/** Lanes that matter most come first where not all fit; the rest is counted in the last row. */
function paintLanes(view: BoardView, selected: number | undefined, columns: Columns, rows: number): Line[] {
  const order = ['due', 'out', 'runs', 'waits', 'done'];
  if (rows <= 0) return [];
  if (view.lanes.length <= rows)
    return view.lanes.map((lane, index) => paintLane(lane, view.axis, columns, index === selected));
  const ranked = view.lanes
    .map((lane, index) => ({ lane, index, rank: index === selected ? -1 : order.indexOf(lane.word) }))
    .toSorted((a, b) => a.rank - b.rank || a.index - b.index);
  const kept = ranked.slice(0, rows - 1).toSorted((a, b) => a.index - b.index);
  const rest = ranked.slice(rows - 1);
  const names = rest.map(({ lane }) => `${lane.name} ${lane.word}`).join(', ');
  return [
    ...kept.map(({ lane, index }) => paintLane(lane, view.axis, columns, index === selected)),
    cutLine(line(`  and ${rest.length} more: ${names}`, { ink: 'quiet' }), columns.width),
  ];
}

function paintOvens(view: BoardView, columns: Columns, how: Rows['ovens']): Line[] {
  if (how === 'none') return [];
  if (how === 'row') return view.ovens.map((oven) => paintOvenRow(oven, view.axis, columns));
  return view.ovens.flatMap((oven) => paintOvenTall(oven, view.axis, columns));
}

function paintAlarmRows(alarms: readonly AlarmView[], width: number, rows: number, beat: boolean): Line[] {
  if (rows <= 0) return [];
  if (rows === 1) {
    const more = alarms.length > 1 ? `  +${alarms.length - 1} more (a)` : '';
    return alarms
      .slice(0, 1)
      .map((alarm) => ends(paintAlarm(alarm, width, 1, beat)[0] ?? [], line(more), width));
  }
  return alarms.slice(0, Math.floor(rows / 2)).flatMap((alarm) => paintAlarm(alarm, width, 2, beat));
}

const spaced = (rows: Line[], airy: boolean): Line[] => (airy ? rows.flatMap((row) => [row, BLANK]) : rows);

function paintTimers(view: BoardView, width: number): Line {
  const spans: Span[] = [{ text: '  ' }];
  for (const timer of view.timers)
    spans.push(
      { text: `${timer.name} ` },
      { text: `${timer.figures}${timer.over ? ' over' : ''}   `, bold: true },
    );
  for (const probe of view.heat.probes)
    if (!probe.watched && probe.reads !== undefined)
      spans.push({ text: `${probe.name} ${probe.reads} ${probe.age}   ` });
  return cutLine(spans, width);
}

/** Exactly `height` rows of at most `width` cells. */
function fit(rows: readonly Line[], width: number, height: number): Line[] {
  return Array.from({ length: height }, (_, index) => {
    const row = rows[index] ?? BLANK;
    return row.some((span) => cells(span.text) > 0) ? cutLine(row, width) : BLANK;
  });
}
