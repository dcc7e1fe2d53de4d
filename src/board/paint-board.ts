import { cells, cut, type AlarmView, type BoardView } from '../view/index.ts';
import { bySoonest, hiddenSoon, keptLanes, shownAlarms, shownTimers } from './hidden-soon.ts';
import { BLANK, cutLine, ends, fit, line, widthOf, wordsOf, type Line } from './lines.ts';
import { paintOfferRows } from './pages.ts';
import { paintAlarm } from './paint-alarms.ts';
import { paintHeatRows } from './paint-heat.ts';
import {
  columnsFor,
  paintAxis,
  paintLane,
  paintOvenRow,
  paintOvenTall,
  type Columns,
} from './paint-lanes.ts';
import { paintNow } from './paint-now.ts';
import { shareRows, type Rows } from './share-rows.ts';

/** The bench: what is to be done now, what comes next, every component, the oven, alarms, temperatures. */
export function paintBoard(
  view: BoardView,
  selected: number | undefined,
  width: number,
  rows: number,
  beat: boolean,
): Line[] {
  const alarms = view.alarms.filter((alarm) => alarm.key !== view.now.key);
  const { share, strip } = settle(view, alarms, selected, width, rows);
  const columns = columnsFor(width);
  const gap = (nth: number): Line[] => (share.gaps >= nth ? [BLANK] : []);
  const spare = share.gaps >= 6 ? [BLANK] : [];
  return [
    ...gap(1),
    ...fit(paintNow(view.now, width, share.now, beat), width, share.now),
    ...strip.map((text) => line(text, { bold: true })),
    ...spare,
    ...gap(2),
    ...paintNext(view, width, share.next),
    ...gap(3),
    ...(share.axis > 0 ? [paintAxis(view.axis, columns)] : []),
    ...spaced(paintLanes(view, selected, columns, share.lanes, strip.length > 0), share.airy),
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

/**
 * Hands out the rows such that whatever is wanted within ten minutes is in sight: what has no place of its own gets one in the
 * rows below NOW, and those take their rows from what can wait.
 */
function settle(
  view: BoardView,
  alarms: readonly AlarmView[],
  selected: number | undefined,
  width: number,
  rows: number,
): { readonly share: Rows; readonly strip: readonly string[] } {
  // On the least screens the row that tells of the rest tells this too.
  const most = rows < 12 ? 0 : Math.floor(rows / 4);
  for (let taken = 0; ; taken += 1) {
    const share = shareRows(view, alarms.length, rows - taken, width);
    const told = paintNow(view.now, width, share.now, false).map((row) => wordsOf(row).slice(BAR_CELLS));
    const hidden = hiddenSoon(view, alarms, share, { told: told.join(' '), selected, width });
    const strip = stripLines(hidden, width, most);
    if (strip.length <= taken) return { share, strip };
  }
}

/** NOW has a bar at its left. */
const BAR_CELLS = 3;

/** What has no place of its own, in as few rows as it takes, at most so many; what even so does not fit is counted. */
function stripLines(items: readonly string[], width: number, most: number): readonly string[] {
  if (most < 1) return [];
  const lines: string[] = [];
  let row = '';
  for (const [index, item] of items.entries()) {
    const rest = items.length - index;
    const last = lines.length === most - 1;
    const longer =
      row === '' ? `${lines.length === 0 ? STRIP : '        '}${item}` : `${row}${BETWEEN}${item}`;
    const more = rest > 1 ? `${BETWEEN}and ${rest - 1} more` : '';
    if (cells(longer) + (last ? cells(more) : 0) <= width) {
      row = longer;
      continue;
    }
    if (row === '') row = cut(longer, width);
    else if (last) {
      row = cut(`${row}${BETWEEN}and ${rest} more`, width);
      break;
    } else {
      lines.push(row);
      row = cut(`        ${item}`, width);
    }
  }
  return row === '' ? lines : [...lines, row];
}
const STRIP = '   also ';
const BETWEEN = '    ';

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

/** Where not all components fit, those that are wanted soonest do; the others are told in the last row, idle ones last. */
function paintLanes(
  view: BoardView,
  selected: number | undefined,
  columns: Columns,
  rows: number,
  hasStrip: boolean,
): Line[] {
  const kept = keptLanes(view, selected, rows);
  const rest = view.lanes.filter((lane) => !kept.has(lane.component));
  const shown = view.lanes.flatMap((lane, index) =>
    kept.has(lane.component) ? [paintLane(lane, view.axis, columns, index === selected)] : [],
  );
  if (rows <= 0 || rest.length === 0) return shown;
  // What is wanted soon stands below NOW.
  const names = bySoonest(rest.filter(({ soon }) => !soon || !hasStrip)).map(
    ({ name, word, lead, figures }) =>
      [name, ...(figures === '' ? [word] : [lead, figures])].filter((part) => part !== '').join(' '),
  );
  const told = names.length === 0 ? '' : `: ${names.join(', ')}`;
  return [...shown, cutLine(line(`   and ${rest.length} more${told}`, { ink: 'quiet' }), columns.width)];
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
  return alarms.slice(0, shownAlarms(rows)).flatMap((alarm) => paintAlarm(alarm, width, 2, beat));
}

const spaced = (rows: Line[], airy: boolean): Line[] => (airy ? rows.flatMap((row) => [row, BLANK]) : rows);

/** Quick timers, the soonest first, and what probes read that nothing waits for. */
function paintTimers(view: BoardView, width: number): Line {
  const timers = shownTimers(view, width).flatMap((timer) => [
    { text: `${timer.name} ` },
    { text: `${timer.figures}${timer.over ? ' over' : ''}   `, bold: true },
  ]);
  const probes = view.heat.probes
    .filter(({ watched, reads }) => !watched && reads !== undefined)
    .map(({ name, reads, age }) => ({ text: `${name} ${reads} ${age}   ` }));
  return cutLine([{ text: '  ' }, ...timers, ...probes], width);
}
