import type { Workload } from '../../plan/index.ts';
import type { Timetable } from '../timetable.ts';
import type { Easing } from './easing.ts';
import { extraHands } from './extra-hands.ts';

const inMinutes = (length: number): number => length / 60;

/**
 * What a change is thought to cost a cook, in minutes of trouble, so that the cheapest can be named first: what lies in a
 * drawer before what must be found out, that before people's time, people's time before an oven. The figures are a judgement.
 */
export function costOf(workload: Workload, easing: Easing, timetable: Timetable): number {
  switch (easing.kind) {
    case 'less margin':
      return 5 + inMinutes(easing.by);
    case 'more of an item': {
      const kind = workload.kitchen.items.find(({ name }) => name === easing.item)?.kind ?? 'tool';
      return { tool: 10, 'cold shelf': 30, hob: 60 }[kind] * easing.by;
    }
    case 'more near steps':
      return 15 * easing.by;
    case 'wait longer':
    case 'rest longer':
    case 'keep longer':
    case 'shorter':
    case 'follow sooner':
      return 10 + stretched(limitOf(workload, easing), easing.by);
    case 'serve later':
      return 20 + inMinutes(easing.by) * easing.plans.length;
    case 'work longer':
      return 30 + inMinutes(easing.by);
    case 'more cooks':
      return 60 + inMinutes(extraHands(workload, timetable, workload.kitchen.cooks)?.total ?? 0);
    case 'more shelves':
      return 90 * easing.by;
    case 'make ahead':
      return 120 + stretched(limitOf(workload, easing), easing.limit);
    case 'another oven':
      return 240;
    case 'begin earlier':
      // Time that has passed cannot be had any more: worth knowing for the next time.
      return 300 + inMinutes(easing.by);
  }
}

/** A quarter more is little to ask of what is dying, twice as long is much, and many times as long most likely cannot be. */
const stretched = (limit: number, by: number): number => Math.min(180, (40 * by) / Math.max(limit, 300));

function limitOf(workload: Workload, easing: Easing): number {
  if (easing.kind === 'keep longer' || easing.kind === 'make ahead')
    return workload.components.find(({ id }) => id === easing.component)?.keeps ?? 0;
  if (!('step' in easing)) return 0;
  const step = workload.components.flatMap(({ steps }) => steps).find(({ id }) => id === easing.step);
  if (easing.kind === 'wait longer') return step?.within ?? 0;
  return step?.length.kind === 'rest' ? (step.length.atMost ?? 0) : 0;
}
