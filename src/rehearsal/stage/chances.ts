/** A share of rehearsals, 0 to 1, and the interval in which the true chance lies with 95 % confidence. */
export interface Chance {
  readonly share: number;
  readonly low: number;
  readonly high: number;
}

/** Normal quantile for 95 % confidence, both sides. */
export const Z = 1.959_963_984_540_054;

/** Wilson's score interval (E. B. Wilson, Journal of the American Statistical Association 22, 1927). Of no tries it says nothing. */
export function wilson(hits: number, tries: number): Chance {
  if (tries === 0) return { share: 0, low: 0, high: 1 };
  const share = hits / tries;
  const spread = (Z * Z) / tries;
  const middle = (share + spread / 2) / (1 + spread);
  const half = (Z * Math.sqrt((share * (1 - share) + spread / 4) / tries)) / (1 + spread);
  return {
    share,
    low: hits === 0 ? 0 : Math.max(0, middle - half),
    high: hits === tries ? 1 : Math.min(1, middle + half),
  };
}
