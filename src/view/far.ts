import type { BenchState } from '../bench/index.ts';
import { countdown, secondsBetween, type EpochMs } from '../units/index.ts';
import type { NextView } from './next.ts';
import type { NowView } from './now.ts';
import type { OfferView } from './offer.ts';

/** One thing and its countdown, to be read from across the room. */
export interface FarView {
  readonly who: string;
  readonly what: string;
  readonly shorter: readonly string[];
  /** The figures that are drawn largest: `12:40`. */
  readonly figures: string;
  readonly meaning: string;
  readonly unheard: boolean;
  /** One line below: the caution, what else is due, or what comes next. */
  readonly below: string;
  /** That a new timetable waits for an answer, and what it means for service. */
  readonly offer?: string;
}

/** What the far view shows: what is to be done now; while nothing is, how long until the next thing. */
export function farView(
  state: BenchState,
  now: EpochMs,
  here: NowView,
  next: readonly NextView[],
  offered?: OfferView,
): FarView {
  const offer = offered ? { offer: `new timetable: ${offered.headline}` } : {};
  const below =
    here.caution !== undefined
      ? `! ${here.caution}`
      : here.others.length > 0
        ? `also due: ${here.others.map(({ text }) => text).join(' · ')}`
        : next[0]
          ? `next ${next[0].clock} ${next[0].who}: ${next[0].what}`
          : '';
  if (here.figures !== undefined)
    return {
      who: here.who,
      what: here.what,
      shorter: here.shorter,
      figures: here.figures,
      meaning: here.meaning ?? '',
      unheard: here.unheard,
      below,
      ...offer,
    };
  const first = next[0];
  if (!first || state.servedAt !== undefined)
    return {
      who: here.who,
      what: here.what,
      shorter: here.shorter,
      figures: '',
      meaning: '',
      unheard: false,
      below: '',
    };
  return {
    who: first.who,
    what: first.what,
    shorter: [],
    figures: countdown(Math.max(0, secondsBetween(now, first.at))),
    meaning: 'to go',
    unheard: false,
    below: here.what,
    ...offer,
  };
}
