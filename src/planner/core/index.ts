export * from './problem.ts';
export { solve } from './solve.ts';
