import type { BenchEvent } from './events.ts';
import { acted, type Acted } from './acted.ts';
import type { BenchState } from './state.ts';

/** How a feed stands now. */
export function takeFeed(state: BenchState, event: Extract<BenchEvent, { kind: 'feed' }>): Acted {
  const { feed, state: stands, detail, used, thinned, refused } = event;
  const report = { feed, state: stands, detail, used, thinned, refused };
  return acted({ ...state, feeds: [...state.feeds.filter((old) => old.feed !== feed), report] });
}
