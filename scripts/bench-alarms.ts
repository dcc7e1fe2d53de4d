import { once } from 'node:events';
import { availableParallelism } from 'node:os';
import { parseArgs } from 'node:util';
import { isMainThread, parentPort, Worker, workerData } from 'node:worker_threads';
import { demoPlans } from '../src/cli/files.ts';
import { alarmCase, summary, type CaseReport, type TroubleKind, TROUBLES } from './alarm-cases.ts';

/*
 * How often alarms ring, and whether they ring in time: rehearsals of every demo plan on days as they are (slow ones,
 * presses forgotten, masses that cool late), and with one thing going wrong.
 *
 *   npm run bench:alarms -- [--runs 1000] [--trouble 100] [--json] [PLAN…]
 */
interface Task {
  readonly plan: string;
  readonly trouble: TroubleKind | undefined;
  readonly from: number;
  readonly to: number;
}

if (isMainThread) await measure();
else serve();

function serve(): void {
  parentPort?.on('message', ({ plan, trouble, from, to }: Task) => {
    const reports: CaseReport[] = [];
    for (let seed = from; seed < to; seed += 1) reports.push(alarmCase(plan, trouble, seed));
    parentPort?.postMessage(reports);
  });
}

async function measure(): Promise<void> {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: {
      runs: { type: 'string', default: '1000' },
      trouble: { type: 'string', default: '100' },
      json: { type: 'boolean', default: false },
    },
  });
  const plans = positionals.length > 0 ? positionals : demoPlans();
  const kinds: (TroubleKind | undefined)[] = [undefined, ...TROUBLES];
  const tasks: Task[] = plans.flatMap((plan) =>
    kinds.flatMap((trouble) => {
      const runs = Number(trouble === undefined ? values.runs : values.trouble);
      const pieces: Task[] = [];
      for (let from = 0; from < runs; from += 50)
        pieces.push({ plan, trouble, from, to: Math.min(runs, from + 50) });
      return pieces;
    }),
  );
  const reports = await inThreads(tasks);
  const table = summary(reports);
  if (values.json) process.stdout.write(`${JSON.stringify(table)}\n`);
  else {
    // oxlint-disable-next-line no-console
    console.table(table.ordinary);
    // oxlint-disable-next-line no-console
    console.table(table.trouble);
    for (const line of table.missed) process.stdout.write(`${line}\n`);
  }
}

async function answerOf(thread: Worker): Promise<CaseReport[]> {
  const [reports] = (await once(thread, 'message')) as [CaseReport[]];
  return reports;
}

/** Has tasks done by as many threads as there are cores; the reports come in the order of the tasks. */
async function inThreads(tasks: readonly Task[]): Promise<readonly CaseReport[]> {
  const reports: CaseReport[][] = [];
  let next = 0;
  const one = async (): Promise<void> => {
    const thread = new Worker(new URL(import.meta.url), { workerData });
    while (next < tasks.length) {
      const mine = next;
      next += 1;
      thread.postMessage(tasks[mine]);
      reports[mine] = await answerOf(thread);
    }
    await thread.terminate();
  };
  await Promise.all(Array.from({ length: Math.min(availableParallelism(), tasks.length) }, one));
  return reports.flat();
}
