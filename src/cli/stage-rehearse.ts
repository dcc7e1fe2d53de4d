import { setImmediate } from 'node:timers/promises';
import type { Rundown } from '../planner/index.ts';
import { stageReportJson, stageReportText, stageStudy } from '../rehearsal/index.ts';
import { EXIT } from './exit.ts';
import { fitted, type Out } from './out.ts';
import { progressLine, type ManyOptions } from './rehearse-many.ts';

/** How long evenings are played between two looks at whether somebody wants to stop, ms. */
const AT_ONCE = 100;

/** Plays a demonstration on many evenings and says how it goes. Ctrl-C ends it with what there is. */
export async function rehearseOnStage(
  rundown: Rundown,
  { runs, seed, json, isQuiet }: Pick<ManyOptions, 'runs' | 'seed' | 'json' | 'isQuiet'>,
  out: Out,
): Promise<void> {
  const study = stageStudy(rundown, seed);
  const progress = progressLine(isQuiet);
  let isStopped = false;
  const stop = (): void => void (isStopped = true);
  process.once('SIGINT', stop);
  try {
    let looked = -Infinity;
    for (let run = 0; run < runs && !isStopped; run += 1) {
      if (performance.now() - looked >= AT_ONCE) {
        progress.say('evenings', run, runs);
        await setImmediate();
        looked = performance.now();
      }
      study.play();
    }
  } finally {
    process.off('SIGINT', stop);
    progress.clear();
  }
  const report = study.report();
  if (json) out.json(stageReportJson(rundown, report));
  else out.print(fitted(stageReportText(rundown, report)));
  if (!isStopped) return;
  out.warn(`stopped after ${report.runs} of ${runs} evenings`);
  process.exitCode = EXIT.stopped;
}
