import type { Rundown } from '../planner/index.ts';
import {
  runSheetCalendar,
  runSheetSvg,
  STAGE_PAPERS,
  stageJson,
  stageMarkdown,
  stageText,
  type StagePaper,
} from '../sheet/index.ts';
import type { EpochMs } from '../units/index.ts';
import { EXIT, Stop } from './exit.ts';
import type { Out } from './out.ts';

/** The papers that are asked for: the one of `--only`, or all. */
export function papersOf(only: string | undefined): readonly StagePaper[] {
  if (only === undefined) return STAGE_PAPERS;
  const paper = STAGE_PAPERS.find((each) => each === only);
  if (paper) return [paper];
  throw new Stop(EXIT.usage, `a demonstration has no paper "${only}"`, [`it has ${STAGE_PAPERS.join(', ')}`]);
}

/** Writes the papers of a demonstration. A picture and a calendar show its whole timetable. */
export function writePapers(
  rundown: Rundown,
  form: string,
  papers: readonly StagePaper[],
  out: Out,
  now: EpochMs,
): void {
  switch (form) {
    case 'json':
      return out.json(stageJson(rundown));
    case 'markdown':
      return out.print(papers.map((paper) => stageMarkdown(rundown, paper).trimEnd()).join('\n\n'));
    case 'svg':
      return out.document(runSheetSvg(rundown.workload, rundown.timetable));
    case 'ics':
      return out.document(runSheetCalendar(rundown.workload, rundown.timetable, { stamp: now }));
    default:
      return printPapers(rundown, papers, out);
  }
}

/** On a terminal the papers follow each other; for a printer each page begins a sheet, so that no label is split. */
function printPapers(rundown: Rundown, papers: readonly StagePaper[], out: Out): void {
  const columns = process.stdout.columns ?? 80;
  const pages = papers.flatMap((paper) => stageText(rundown, paper, { columns }));
  for (const [index, page] of pages.entries()) {
    if (index > 0) out.document(process.stdout.isTTY ? '\n' : '\f');
    out.print(page.trimEnd());
  }
}
