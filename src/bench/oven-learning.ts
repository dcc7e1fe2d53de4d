import { corrected, type OvenDoor, type OvenStretch } from '../heat/index.ts';
import type { OvenHeat, Probe } from '../plan/index.ts';
import { secondsBetween, type EpochMs } from '../units/index.ts';
import type { BenchEvent, RunSetup } from './events.ts';
import { lookup, planned } from './lookup.ts';
import { goalOf, sameHeat } from './oven-reckoning.ts';
import { UNDOABLE } from './undo.ts';

/** A stretch of readings is remembered with no more of them than this. */
const MOST = 2000;

interface Watched {
  heat: OvenHeat;
  door: OvenDoor;
  since: EpochMs;
  samples: { seconds: number; celsius: number }[];
}

/**
 * What the probes of a run have read in the air of its ovens: for each oven the stretches in which neither its knob nor its
 * door was touched and nothing cold went in. What was taken back is left out.
 */
export function ovenStretches(
  setup: RunSetup,
  events: readonly BenchEvent[],
): ReadonlyMap<string, readonly OvenStretch[]> {
  const { kitchen } = setup.workload;
  const probes = new Map((kitchen.probes ?? []).map((probe) => [probe.name, probe]));
  const offsets = new Map(kitchen.ovens.map((oven) => [oven.name, oven.offset ?? 0]));
  const found = new Map<string, OvenStretch[]>();
  const ovens = new Map<string, Watched>();
  const watched = (oven: string): Watched =>
    ovens.get(oven) ?? { heat: { kind: 'off' }, door: 'shut', since: setup.begunAt, samples: [] };
  const begin = (oven: string, at: EpochMs, change: Partial<Pick<Watched, 'heat' | 'door'>>): void => {
    const before = watched(oven);
    if (before.samples.length > 0) {
      const { heat, door, samples } = before;
      found.set(oven, [
        ...(found.get(oven) ?? []),
        { run: setup.run, goal: goalOf(heat), door, offset: offsets.get(oven) ?? 0, samples },
      ]);
    }
    ovens.set(oven, { ...before, ...change, since: at, samples: [] });
  };
  const hear = (probe: Probe, event: Extract<BenchEvent, { kind: 'reading' }>): void => {
    const { oven } = probe;
    const read = corrected(probe, event.temperature.celsius, kitchen.altitude);
    if (oven === undefined || read < probe.low || read > probe.high) return;
    const now = watched(oven);
    if (now.samples.length < MOST)
      now.samples.push({ seconds: secondsBetween(now.since, event.time), celsius: read });
    ovens.set(oven, now);
  };
  for (const { event, oven, heat, door } of changesIn(setup, events)) {
    if (event.kind === 'reading') {
      const probe = probes.get(event.probe);
      if (probe) hear(probe, event);
    } else if (oven !== undefined) {
      const isNew = heat !== undefined && !sameHeat(watched(oven).heat, heat);
      const isMoved = door !== undefined && watched(oven).door !== door;
      if (isNew || isMoved || event.kind === 'start')
        begin(oven, event.time, { ...(heat ? { heat } : {}), ...(door ? { door } : {}) });
    }
  }
  for (const oven of ovens.keys()) begin(oven, setup.begunAt, {});
  return found;
}

interface OvenChange {
  readonly event: BenchEvent;
  readonly oven?: string;
  readonly heat?: OvenHeat;
  readonly door?: OvenDoor;
}

/** The readings of a run, and what was done to its ovens. */
function changesIn(setup: RunSetup, events: readonly BenchEvent[]): OvenChange[] {
  let { timetable } = setup;
  const { placed } = lookup(setup.workload);
  return standing(events).flatMap((event): OvenChange[] => {
    switch (event.kind) {
      case 'reading':
        return [{ event }];
      case 'oven set':
        return [{ event, oven: event.oven, heat: event.heat }];
      case 'door':
        return [{ event, oven: event.oven, door: event.door }];
      case 'timetable':
        timetable = event.timetable;
        return [];
      case 'start': {
        const demand = placed.get(event.step)?.step.oven;
        const oven = planned(timetable).steps.get(event.step)?.oven ?? demand?.oven;
        if (!demand || oven === undefined) return [];
        return [{ event, oven, heat: demand.heat, door: demand.door === 'ajar' ? 'ajar' : 'shut' }];
      }
      default:
        return [];
    }
  });
}

/** Events without those of the cook that were taken back. */
function standing(events: readonly BenchEvent[]): readonly BenchEvent[] {
  const gone = new Set<string>();
  const acts: string[] = [];
  for (const event of events) {
    if (event.kind === 'undo') gone.add(acts.pop() ?? event.id);
    else if (event.source === 'cook' && UNDOABLE.has(event.kind)) acts.push(event.id);
  }
  return events.filter((event) => !gone.has(event.id));
}
