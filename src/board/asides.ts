import type { Priority } from '../bench/index.ts';

/** One way to set an alarm aside, by the figure that chooses it. */
export interface Aside {
  readonly key: string;
  /** For so many minutes; without them its kind is out of service for the whole run. */
  readonly minutes?: number;
  readonly reason: string;
}

/** How long and why in one press. */
const ASIDES: readonly Aside[] = [
  { key: '1', minutes: 10, reason: 'it is being seen to' },
  { key: '2', minutes: 30, reason: 'it is being seen to' },
  { key: '3', minutes: 30, reason: 'nothing can be done now' },
  { key: '4', minutes: 60, reason: 'nothing can be done now' },
  { key: '5', minutes: 30, reason: 'what it goes by is wrong' },
  { key: '8', reason: 'what it goes by is wrong' },
  { key: '9', reason: 'not wanted in this run' },
];

/** The longest a high alarm may be set aside, in minutes: as long as it takes to see to it. */
const LONGEST_HIGH = 10;

/** Every way to set an alarm of a priority aside. */
export const asidesFor = (priority: Priority): readonly Aside[] =>
  priority === 'high' ? HIGH_ASIDES : ASIDES;

const HIGH_ASIDES = ASIDES.flatMap((way, index) => {
  if (way.minutes === undefined) return [way];
  const isRepeat = ASIDES.findIndex(({ reason }) => reason === way.reason) < index;
  return isRepeat ? [] : [{ ...way, minutes: Math.min(LONGEST_HIGH, way.minutes) }];
});
