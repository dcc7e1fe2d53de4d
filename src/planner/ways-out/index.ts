export { waysOut, type WayOut, type WaysOutOptions } from './ways-out.ts';
export { eased, type Asked, type Easing } from './easing.ts';
