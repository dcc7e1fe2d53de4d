export { openFeeds, type Feeds, type FeedsOptions } from './feeds.ts';
export type { FedReading } from './reading-line.ts';
export { feedSpec, type FeedSpec, type ReadSpec } from './specs.ts';
