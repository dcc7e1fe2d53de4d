import { COOLING_RULE_NAMES, type CoolingRuleName } from '../plan/index.ts';
import { celsius, hours, minutes, type Celsius, type Seconds } from '../units/index.ts';

/** One limit of a set of cooling rules: by then it has to be measured that cold. */
export interface CoolingLimit {
  /**
   * The clock starts when the body falls past this. Where the limit before ends at the same temperature, it starts with the
   * reading that shows it there. Without it, it starts as the body leaves the heat (food that was never hot: as work on it
   * begins).
   */
  readonly from?: Celsius;
  /** A reading at or below this meets the limit. */
  readonly to: Celsius;
  readonly within: Seconds;
}

/** What a set says of time out of the cold, once food has been cold: it adds up over every trip. */
export interface OutOfColdLimit {
  readonly after: Seconds;
  /** What the set says from then on: `use now, no more chilling`. */
  readonly says: string;
  /** Nothing may be done with it any more by the set, or only under the condition that it names. */
  readonly isEnd: boolean;
}

/** A named set of cooling and holding rules. Figures, not advice: local codes and a trained person decide. */
export interface CoolingRules {
  readonly name: CoolingRuleName;
  readonly title: string;
  readonly place: string;
  /** Which text and edition the figures were read in. */
  readonly source: string;
  /** weak: read only where others quote it, or as guidance that no law gives a number for. */
  readonly confidence: 'read' | 'weak';
  /** Limits for food that was cooked hot, in order. */
  readonly cooked: readonly CoolingLimit[];
  /** Limits for food put together at the room's temperature; empty where the set has none. */
  readonly ambient: readonly CoolingLimit[];
  /** Held cold at or below this; absent where no source that was read gives it. */
  readonly cold?: Celsius;
  /** Held hot at or above this; absent where no source gives it. */
  readonly hot?: Celsius;
  readonly outOfCold: readonly OutOfColdLimit[];
}

const limit = (from: number | undefined, to: number, within: Seconds): CoolingLimit => ({
  ...(from === undefined ? {} : { from: celsius(from) }),
  to: celsius(to),
  within,
});

/** Every set by its name in a kitchen file. Figures and sources: docs/cooling-rules.md. */
export const COOLING_RULES: Readonly<Record<CoolingRuleName, CoolingRules>> = {
  'us food code': {
    name: 'us food code',
    title: 'US Food Code 3-501.14',
    place: 'United States',
    source: 'as adopted by Delaware (2014/2024), Wisconsin (2020) and Minnesota (2019)',
    confidence: 'read',
    cooked: [limit(57, 21, hours(2)), limit(57, 5, hours(6))],
    ambient: [limit(undefined, 5, hours(4))],
    cold: celsius(5),
    hot: celsius(57),
    outOfCold: [
      {
        after: hours(4),
        says: 'time alone as control ends at 4 h (6 h if it was measured never above 21 C): served or discarded, and only by a procedure written beforehand',
        isEnd: true,
      },
      {
        after: hours(6),
        says: 'time alone as control ends at 6 h in any case: discarded',
        isEnd: true,
      },
    ],
  },
  australia: {
    name: 'australia',
    title: 'Food Standards Code 3.2.2, clause 7(3)',
    place: 'Australia',
    source: 'the clause as others quote it; holding and time out of the cold from FSANZ pages (2023)',
    confidence: 'weak',
    cooked: [limit(60, 21, hours(2)), limit(21, 5, hours(4))],
    ambient: [],
    cold: celsius(5),
    hot: celsius(60),
    outOfCold: [
      { after: hours(2), says: 'from 2 to 4 h it is to be used, and not chilled again', isEnd: false },
      { after: hours(4), says: 'after 4 h it is to be discarded', isEnd: true },
    ],
  },
  france: {
    name: 'france',
    title: 'arrêté of 21 December 2009',
    place: 'France',
    source: 'the French text as amended on 8 March 2012; its figure for holding hot is not verified',
    confidence: 'read',
    cooked: [limit(63, 10, hours(2))],
    ambient: [],
    outOfCold: [],
  },
  ireland: {
    name: 'ireland',
    title: 'FSAI Guidance Note 15, cook-chill',
    place: 'Ireland',
    source: 'Food Safety Authority of Ireland, 2018',
    confidence: 'read',
    cooked: [limit(undefined, 3, minutes(150))],
    ambient: [],
    cold: celsius(3),
    outOfCold: [],
  },
  canada: {
    name: 'canada',
    title: 'Food Retail and Food Services Code',
    place: 'Canada',
    source: 'the code as others quote it; holding from Quebec P-29 r.1 s. 1.4.1',
    confidence: 'weak',
    cooked: [limit(60, 20, hours(2)), limit(20, 4, hours(4))],
    ambient: [],
    cold: celsius(4),
    hot: celsius(60),
    outOfCold: [],
  },
  'hong kong': {
    name: 'hong kong',
    title: 'Centre for Food Safety, cooling of cooked food',
    place: 'Hong Kong',
    source: 'Centre for Food Safety; of "2 to 4 hours" for the second stage the longer is taken',
    confidence: 'read',
    cooked: [limit(60, 20, hours(2)), limit(20, 4, hours(4))],
    ambient: [],
    cold: celsius(4),
    outOfCold: [],
  },
  'uk guidance': {
    name: 'uk guidance',
    title: 'UK guidance: 90 minutes, then the fridge',
    place: 'England, Wales and Northern Ireland',
    source:
      'guidance and trade practice; the law says 8 C, 63 C and "as quickly as possible", and gives no time',
    confidence: 'weak',
    cooked: [limit(63, 8, minutes(90))],
    ambient: [],
    cold: celsius(8),
    hot: celsius(63),
    outOfCold: [],
  },
};

/** The set a kitchen has chosen; nothing where none is, or where a run of another version names one that is not known. */
export function rulesNamed(name: string | undefined): CoolingRules | undefined {
  const known = COOLING_RULE_NAMES.find((each) => each === name);
  return known && COOLING_RULES[known];
}
