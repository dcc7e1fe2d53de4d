export * from './problem.ts';
export { faults } from './check.ts';
export { solve } from './solve.ts';
export { resourceOrder, type OrderCause, type OrderLag } from './order.ts';
