import type { Rundown } from '../../planner/index.ts';
import { secondsBetween, type EpochMs } from '../../units/index.ts';
import { USUAL_PRESENTER, type Presenter } from './presenter.ts';
import type { StageReport } from './report.ts';

/** How a demonstration goes, for programs: lengths in whole seconds, chances from 0 to 1, moments as seconds on air. */
export function stageReportJson(
  { title, begins }: Rundown,
  report: StageReport,
  presenter: Presenter = USUAL_PRESENTER,
): object {
  const onAir = (moment: EpochMs): number => secondsBetween(begins, moment);
  const { runs, seed, showings, cutPoints, ...rest } = report;
  return {
    /** Goes up when a field changes its meaning or goes away. */
    version: 1,
    title,
    got: { runs, seed, presenter, confidence: 0.95 },
    ...rest,
    showings: showings.map(({ start, ...showing }) => ({ ...showing, onAir: onAir(start) })),
    cutPoints: cutPoints.map(({ cuts, ...point }) => ({
      ...point,
      cuts: cuts.map(({ start, ...cut }) => ({ ...cut, onAir: onAir(start) })),
    })),
  };
}
