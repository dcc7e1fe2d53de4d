import type { EpochMs } from '../../units/index.ts';
import type { Band, Report } from './report.ts';

/** The report for programs: every figure there is. Moments are written as on the run sheet for programs; what is never is null. */
export function reportJson(report: Report) {
  return {
    ...report,
    begin: written(report.begin),
    plans: report.plans.map((plan) => ({ ...plan, service: written(plan.service) })),
    latestStarts: report.latestStarts.map((start) => ({ ...start, begin: written(start.begin) })),
    changes: report.changes.map((change) => ({ ...change, begin: written(change.begin) })),
    ...(report.best && { best: { ...report.best, begin: written(report.best.begin) } }),
    bands: report.bands.map(({ step, start, end }) => ({ step, start: moments(start), end: moments(end) })),
  };
}

const written = (moment: EpochMs | undefined): string | null =>
  moment === undefined ? null : new Date(moment).toISOString();

const moments = ({ low, usual, high }: Band) => ({
  low: written(low),
  usual: written(usual),
  high: written(high),
});
