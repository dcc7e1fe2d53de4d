/** How an oven's temperature moves: rates in degrees a second, soak in seconds. */
export interface OvenModel {
  readonly heats: number;
  readonly cools: number;
  readonly tolerance: number;
  readonly soak: number;
  readonly ambient: number;
}

/** Whether two temperatures can stand in one oven at once. */
export const agree = (oven: OvenModel, a: number, b: number): boolean => Math.abs(a - b) <= oven.tolerance;

/** Seconds an oven takes from the room's temperature until it is truly hot. */
export function lead(oven: OvenModel, temperature: number): number {
  return temperature <= oven.ambient ? 0 : Math.ceil((temperature - oven.ambient) / oven.heats + oven.soak);
}

/** Seconds from one state to another (undefined: off): heating counts the soak; after an oven was off it is taken to be as cold as the room. */
export function change(oven: OvenModel, from: number | undefined, to: number | undefined): number {
  if (to === undefined) return 0;
  if (from === undefined) return lead(oven, to);
  if (agree(oven, from, to)) return 0;
  if (to > from) return Math.ceil((to - from) / oven.heats + oven.soak);
  return Math.ceil((from - to) / oven.cools);
}

/** Whether going from one state to another asks for more heat than the tolerance lets pass. */
export function rises(tolerance: number, from: number | undefined, to: number | undefined): boolean {
  if (to === undefined) return false;
  return from === undefined || to > from + tolerance;
}
