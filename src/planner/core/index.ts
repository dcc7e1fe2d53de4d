export * from './problem.ts';
export { solve } from './solve.ts';
export { resourceOrder, type OrderCause, type OrderLag } from './order.ts';
