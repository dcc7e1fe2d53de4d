import type { Component } from '../plan/index.ts';
import { roughly, seconds, type EpochMs } from '../units/index.ts';
import type { ComponentRun, LogLine, StepRun } from './state.ts';

const BY = { clock: 'by the clock', cook: 'by the cook', probe: 'by its temperature' } as const;

const givenTo = (run: StepRun): number => ('extra' in run ? (run.extra ?? 0) : 0);

/** What a change of a component's machine means, in lines for people; `called` is the component's name. */
export function stepLines(
  component: Component,
  called: string,
  before: ComponentRun,
  after: ComponentRun,
  knownAt: EpochMs,
): LogLine[] {
  if (after.attempt !== before.attempt) {
    return [
      {
        at: after.since,
        kind: 'step',
        component: component.id,
        text: `${called} lost, to be made again`,
      },
    ];
  }
  const lines: LogLine[] = [];
  for (const [index, run] of after.steps.entries()) {
    const old = before.steps[index];
    const name = `${called}: ${component.steps[index]?.name}`;
    if (!old || old === run) continue;
    const say = (at: EpochMs, text: string): void => {
      lines.push({
        at,
        ...(knownAt > at ? { knownAt } : {}),
        kind: 'step',
        component: component.id,
        text: `${name} ${text}`,
      });
    };
    if (run.state === 'running' && old.state === 'waiting') say(run.startedAt, 'started');
    else if (givenTo(run) !== givenTo(old) && run.state === old.state) {
      const more = givenTo(run) - givenTo(old);
      say(knownAt, more > 0 ? `gets ${roughly(seconds(more))} more` : `is cut by ${roughly(seconds(-more))}`);
    } else if (
      run.state === 'running' &&
      run.readyAt !== undefined &&
      old.state === 'running' &&
      old.readyAt === undefined
    ) {
      say(
        run.readyAt,
        component.steps[index]?.length.kind === 'rest' ? 'has rested long enough' : 'is at its temperature',
      );
    } else if (run.state === 'ended') {
      say(
        run.endedAt,
        `ended ${BY[run.by]} after ${roughly(seconds((run.endedAt - run.startedAt) / 1000))}${run.overruled ? ', against its probe' : ''}`,
      );
    } else if (run.state === 'skipped') say(run.endedAt, 'skipped');
  }
  return lines;
}
