import type { Axis } from './axis.ts';
import type { Label } from './labels.ts';

/** One column of the picture below its heading. */
export interface Column {
  readonly heading: string;
  /** A line under the heading. */
  readonly under: string;
  /** The least width, and whether it takes a share of what is left over. */
  readonly least: number;
  readonly grows: boolean;
  /** From the column's left end to its labels; they reach to its right end. */
  readonly track: number;
  readonly labels: readonly Label[];
  readonly draw: (axis: Axis, x: number, width: number) => string;
}

/** From the track to the labels, and from the labels to the next column. */
export const LEAD = 11;
export const MARGIN = 8;

/** How much of a column's width is for its labels. */
export const labelWidth = ({ track }: Pick<Column, 'track'>, width: number): number =>
  width - track - LEAD - MARGIN;
