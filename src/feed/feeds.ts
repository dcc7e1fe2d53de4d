import type { Readable } from 'node:stream';
import type { FeedReport } from '../bench/index.ts';
import type { Workload } from '../plan/index.ts';
import { brokerSource, wantsBroker } from './broker.ts';
import { pace } from './pace.ts';
import type { FedReading } from './reading-line.ts';
import { Report } from './report.ts';
import type { Sink, Source } from './source.ts';
import { feedName, type FeedSpec } from './specs.ts';
import { pipeSource, portSource, streamSource } from './streams.ts';
import { thinner } from './thinner.ts';
import { probesWanted } from './wanted.ts';

export interface FeedsOptions {
  readonly specs: readonly FeedSpec[];
  /** Whose probes are heard, and whose kitchen may have a broker. */
  readonly workload: Workload;
  readonly env: Readonly<Record<string, string | undefined>>;
  /** Where `-` is read from; a process that has none refuses it. */
  readonly input?: Readable;
  readonly onReading: (reading: FedReading) => void;
  readonly onReport: (report: FeedReport) => void;
}

/** Feeds that are open. */
export interface Feeds {
  /** Closes all of them; nothing is heard of any from then on. */
  close(): void;
}

/** How often waiting readings get their turn, ms. */
const TURN_MS = 1000;

/**
 * Opens every feed of a run: those that were asked for, and the kitchen's broker where probes are read from it. All of them
 * go through one thinner, since a probe is one probe however it is heard, and share one pace.
 */
export function openFeeds(options: FeedsOptions): Feeds {
  const { specs, workload, env, input } = options;
  const reports: Report[] = [];
  const thin = thinner(options.onReading, probesWanted(workload));
  const allowed = pace();
  let isClosed = false;
  const open = (name: string, source: (sink: Sink) => Source): Source => {
    const report = new Report(name, options.onReport);
    reports.push(report);
    return source({
      reading(reading) {
        if (!isClosed) report.count(thin.take(reading, performance.now(), () => report.late()));
      },
      refused: () => report.count('refused'),
      stands(state, detail) {
        if (!isClosed) report.stands(state, detail, performance.now());
      },
    });
  };
  const sources = specs.map((spec) =>
    open(feedName(spec), (sink) => {
      switch (spec.kind) {
        case 'input':
          return input ? streamSource(input, sink, allowed) : nowhere(sink);
        case 'pipe':
          return pipeSource(spec.path, sink, allowed);
        case 'port':
          return portSource(spec.port, sink, allowed);
      }
    }),
  );
  const { broker, probes = [] } = workload.kitchen;
  if (broker && wantsBroker(probes))
    sources.push(open('broker', (sink) => brokerSource({ broker, probes, env, pace: allowed }, sink)));
  const timer = setInterval(() => {
    thin.turn(performance.now());
    for (const report of reports) report.turn(performance.now());
  }, TURN_MS);
  timer.unref();
  return {
    close() {
      isClosed = true;
      clearInterval(timer);
      for (const source of sources) source.close();
    },
  };
}

function nowhere(sink: Sink): Source {
  sink.stands('off', 'this process has no input to read');
  return { close: () => undefined };
}
