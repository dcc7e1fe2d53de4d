import type { BenchState, Offer, Projection } from '../bench/index.ts';
import type { EpochMs } from '../units/index.ts';
import { marginWords, type Tone } from './headline.ts';
import { clean, clockWords } from './text.ts';

/** A new timetable that waits for the cook's word, as a screen shows it. */
export interface OfferView {
  /** Which one: a press is for the one that was seen. */
  readonly id: string;
  /** What it means for service, before all else: `service kept, 12 min in hand`, `service would be 19:45 instead of 19:30`. */
  readonly headline: string;
  /** The same in fewer words: `serve 19:45, not 19:30`. */
  readonly shorter: string;
  readonly tone: Tone;
  /** Why there is one. */
  readonly reason: string;
  /** What is different, one line each, the worst first: services that move, windows that break, then what moves in order of time. */
  readonly lines: readonly OfferLine[];
  /** Where there are several ways out: each but the first, by the figure that chooses it. */
  readonly others: readonly OtherWayView[];
}

export interface OfferLine {
  readonly kind: 'service' | 'broken' | 'moved';
  readonly text: string;
}

/** A way out beside the one that is offered first. */
export interface OtherWayView {
  /** 2 or 3. */
  readonly number: number;
  /** What is different about it: `serve 10 min later`. */
  readonly what: string;
  /** What it means for service. */
  readonly headline: string;
  readonly tone: Tone;
  readonly lines: readonly OfferLine[];
}

/** The new timetable that is offered; nothing where none is. `ahead` is how the run would go on by it. */
export function offerView(
  state: BenchState,
  now: EpochMs,
  ahead: Projection | undefined,
): OfferView | undefined {
  const { proposal } = state.replanning;
  if (!proposal) return undefined;
  const first = offered(proposal, state, now, ahead);
  return {
    id: proposal.id,
    ...first,
    reason: clean(proposal.reason),
    others: proposal.others.map((other, index) => {
      const { headline, tone, lines } = offered(other, state, now, undefined);
      return { number: index + 2, what: clean(other.what), headline, tone, lines };
    }),
  };
}

/** What cannot be kept in a new timetable, and what moves in it. */
export const differences = ({ broken, changes }: Pick<Offer, 'broken' | 'changes'>): readonly OfferLine[] => [
  ...broken.map(({ message }) => ({ kind: 'broken' as const, text: `cannot be kept: ${clean(message)}` })),
  ...changes.map(({ message }) => ({ kind: 'moved' as const, text: clean(message) })),
];

/** One new timetable: what it means for service, and what is different in it. */
function offered(
  { timetable, serviceMoved, broken, changes }: Offer,
  state: BenchState,
  now: EpochMs,
  ahead: Projection | undefined,
): Pick<OfferView, 'headline' | 'shorter' | 'tone' | 'lines'> {
  const { kitchen, plans } = state.setup.workload;
  const clock = (moment: EpochMs): string => clockWords(moment, now, kitchen.timeZone);
  // Of a demonstration it is told when it goes on air, and not when it is over.
  const [told, asked] = [state.timetable, timetable].map((each) => airTime(state, each));
  const services = serviceMoved.map(({ plan, from, to }) => ({
    what: plans.length > 1 ? clean(plans[plan]?.title ?? 'service') : asked ? 'on air' : 'service',
    from: told ?? from,
    to: asked ?? to,
  }));
  const [early] = services;
  const moved = services.map(
    ({ what, from, to }) => `${what} would be ${clock(to)} instead of ${clock(from)}`,
  );
  const margin = ahead === undefined ? undefined : marginWords(ahead.margin);
  const [first] = moved;
  const isKept = first === undefined;
  const kept = asked ? `on air ${clock(asked)} all the same` : 'service kept';
  const more = moved.length > 1 ? `, and ${moved.length - 1} more` : '';
  return {
    headline: isKept ? `${kept}${keptWords(margin)}` : `${first}${more}`,
    shorter:
      early === undefined
        ? kept
        : `${asked ? 'on air' : 'serve'} ${clock(early.to)}, not ${clock(early.from)}`,
    tone: isKept && broken.length === 0 ? (margin?.tone ?? 'good') : 'care',
    lines: [
      // One that moves stands in the headline already.
      ...(moved.length > 1 ? moved : []).map((text) => ({ kind: 'service' as const, text })),
      ...differences({ broken, changes }),
    ],
  };
}

/** How much is in hand; and where what has happened since has made it late all the same, that it has. */
function keptWords(margin: ReturnType<typeof marginWords> | undefined): string {
  if (!margin) return '';
  return margin.tone === 'bad' ? `, but ${margin.margin} as it goes` : `, ${margin.margin}`;
}

/** When a timetable has the demonstration go on air; nothing where the run is none. */
function airTime({ setup: { rundown } }: BenchState, { steps }: Offer['timetable']): EpochMs | undefined {
  const [first] = rundown?.showings ?? [];
  return first && steps.find(({ step }) => step === first.step)?.start;
}
