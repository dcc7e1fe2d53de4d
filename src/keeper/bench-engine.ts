import { apply, begin, nextDeadline } from '../bench/index.ts';
import type { BenchEngine } from './engine.ts';

/** The real bench. */
export const benchEngine: BenchEngine = { begin, apply, nextDeadline };
