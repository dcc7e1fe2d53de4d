import type { BenchState, Projection } from '../bench/index.ts';
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
  readonly lines: readonly { readonly kind: 'service' | 'broken' | 'moved'; readonly text: string }[];
}

/** The new timetable that is offered; nothing where none is. `ahead` is how the run would go on by it. */
export function offerView(
  state: BenchState,
  now: EpochMs,
  ahead: Projection | undefined,
): OfferView | undefined {
  const { proposal } = state.replanning;
  if (!proposal) return undefined;
  const { kitchen, plans } = state.setup.workload;
  const clock = (moment: EpochMs): string => clockWords(moment, now, kitchen.timeZone);
  const [early] = proposal.serviceMoved;
  const moved = proposal.serviceMoved.map(({ plan, from, to }) => {
    const what = plans.length > 1 ? clean(plans[plan]?.title ?? 'service') : 'service';
    return `${what} would be ${clock(to)} instead of ${clock(from)}`;
  });
  const margin = ahead === undefined ? undefined : marginWords(ahead.margin);
  const [first] = moved;
  const isKept = first === undefined;
  const more = moved.length > 1 ? `, and ${moved.length - 1} more` : '';
  return {
    id: proposal.id,
    headline: isKept ? `service kept${margin ? `, ${margin.margin}` : ''}` : `${first}${more}`,
    shorter: early === undefined ? 'service kept' : `serve ${clock(early.to)}, not ${clock(early.from)}`,
    tone: isKept && proposal.broken.length === 0 ? (margin?.tone ?? 'good') : 'care',
    reason: clean(proposal.reason),
    lines: [
      // One that moves stands in the headline already.
      ...(moved.length > 1 ? moved : []).map((text) => ({ kind: 'service' as const, text })),
      ...proposal.broken.map(({ message }) => ({
        kind: 'broken' as const,
        text: `cannot be kept: ${clean(message)}`,
      })),
      ...proposal.changes.map(({ message }) => ({ kind: 'moved' as const, text: clean(message) })),
    ],
  };
}
