/** A share of rehearsals, 0 to 1, and the interval in which the true chance lies with 95 % confidence. */
export interface Chance {
  readonly share: number;
  readonly low: number;
  readonly high: number;
}

/** Rehearsals of one class: how often they come, and in how many of those that were looked at something happened. */
export interface Class {
  /** Their share of all rehearsals, 0 to 1. */
  readonly weight: number;
  readonly hits: number;
  /** Where none were looked at, the class may be anything. */
  readonly tries: number;
}

/** Normal quantile for 95 % confidence, both sides. */
export const Z = 1.959_963_984_540_054;

/**
 * Wilson's score interval (E. B. Wilson, Journal of the American Statistical Association 22, 1927): it stays within 0 and
 * 1 and says something true also where nothing, or everything, was a hit.
 */
export function wilson(hits: number, tries: number): Chance {
  if (tries <= 0) return { share: 0.5, low: 0, high: 1 };
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

/**
 * The chance over several classes, of which some were looked at in part only (double sampling for stratification: W. G.
 * Cochran, Sampling Techniques, 3rd ed. 1977, chapter 12). The interval is put together from those of the classes, so that it
 * is wide where little was looked at, whatever came of it (G. Zou, A. Donner, Statistics in Medicine 27, 2008); that
 * the weights are known from `runs` rehearsals only is counted too.
 */
export function pooled(classes: readonly Class[], runs: number): Chance {
  const parts = classes
    .filter(({ weight }) => weight > 0)
    .map(({ weight, hits, tries }) => ({ weight, ...wilson(hits, tries) }));
  const share = parts.reduce((sum, part) => sum + part.weight * part.share, 0);
  const between = parts.reduce((sum, part) => sum + part.weight * (part.share - share) ** 2, 0);
  const ofWeights = (Z * Z * between) / Math.max(1, runs);
  const half = (side: (part: Chance) => number): number =>
    Math.sqrt(
      parts.reduce((sum, part) => sum + (part.weight * (part.share - side(part))) ** 2, 0) + ofWeights,
    );
  return {
    share,
    low: Math.max(0, share - half(({ low }) => low)),
    high: Math.min(1, share + half(({ high }) => high)),
  };
}

/** How a change altered the chance of something, told from the same rehearsals without and with it. */
export interface Difference {
  /** The chance with the change less that without it. */
  readonly by: number;
  readonly low: number;
  readonly high: number;
}

/**
 * The difference between two chances measured on the same rehearsals: `gained` went well only with the change, `lost` only
 * without it. The interval is Agresti and Min's for matched pairs (Statistics in Medicine 24, 2005): half a rehearsal
 * is added to each of the four cells.
 */
export function difference(gained: number, lost: number, tries: number): Difference {
  const by = tries > 0 ? (gained - lost) / tries : 0;
  const [more, less, all] = [gained + 0.5, lost + 0.5, tries + 2];
  const middle = (more - less) / all;
  const half = (Z * Math.sqrt(Math.max(0, more + less - (more - less) ** 2 / all))) / all;
  return { by, low: Math.max(-1, middle - half), high: Math.min(1, middle + half) };
}
