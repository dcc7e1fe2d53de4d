/**
 * The sets of cooling rules that a kitchen may choose. What each of them says, and its source, is known to `heat`: a plan
 * only names one.
 */
export const COOLING_RULE_NAMES = [
  'us food code',
  'australia',
  'france',
  'ireland',
  'canada',
  'hong kong',
  'uk guidance',
] as const;

export type CoolingRuleName = (typeof COOLING_RULE_NAMES)[number];

/** Said in the place of a name: readings are shown, and held to no rule. */
export const NO_RULES = 'none chosen';
