import { secondsTo, secondsUntilRight, type OvenModel } from '../heat/index.ts';

/** Whether two temperatures can stand in one oven at once. */
export const agree = (oven: OvenModel, a: number, b: number): boolean => Math.abs(a - b) <= oven.tolerance;

/** Seconds an oven takes from the room's temperature until it is truly hot, also where its tolerance would let it be cold. */
export function lead(oven: OvenModel, temperature: number): number {
  if (temperature <= oven.ambient) return 0;
  return Math.ceil(secondsTo(oven, oven.ambient, temperature) + oven.soak);
}

/** Seconds from one state to another (undefined: off): heating counts the soak; after an oven was off it is taken to be as cold as the room. */
export function change(oven: OvenModel, from: number | undefined, to: number | undefined): number {
  if (to === undefined) return 0;
  if (from === undefined) return lead(oven, to);
  return Math.ceil(secondsUntilRight(oven, from, to));
}

/** Whether going from one state to another asks for more heat than the tolerance lets pass. */
export function rises(tolerance: number, from: number | undefined, to: number | undefined): boolean {
  if (to === undefined) return false;
  return from === undefined || to > from + tolerance;
}
