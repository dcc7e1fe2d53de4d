import type { BoardView } from '../view/index.ts';
import { heatRows } from './paint-heat.ts';
import { tallRows } from './paint-lanes.ts';

/** How many rows each part of the board gets. */
export interface Rows {
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

/** Hands out rows in the order of what a cook needs most; what does not fit is left out whole. */
export function shareRows(view: BoardView, alarms: number, rows: number, width: number): Rows {
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
  // Whoever is wanted within ten minutes has a row, and one tells of the rest.
  const wanted = view.lanes.filter(({ soon }) => soon).length + 1;
  const someLanes = Math.min(lanes, Math.max(4, wanted), Math.max(4, left - 2), left);
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
