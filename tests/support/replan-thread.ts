import type { Workload } from '../../src/plan/index.ts';
import type { ReplanRequest, ReplanResult } from '../../src/planner/index.ts';
import { serveReplans } from '../../src/keeper/replan-service.ts';

/** A thread of the tests: it fails, ends or hangs by the minute of the hour at which it is asked. */
serveReplans((_: Workload, { progress }: ReplanRequest): ReplanResult => {
  const minute = new Date(progress.now).getUTCMinutes();
  if (minute === 13) throw new Error('this planner fails at thirteen\nand nobody reads on');
  if (minute === 14) process.exit(3);
  while (minute === 15);
  return { kind: 'none', reasons: [{ message: `asked at ${minute}`, steps: [], places: [] }] };
});
