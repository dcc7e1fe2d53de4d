import { runBoard, runPlain } from '../../src/board/index.ts';
import { memoryJournal } from '../../src/journal/index.ts';
import { benchEngine, directReplanner, openLocalKeeper } from '../../src/keeper/index.ts';
import { epochMs } from '../../src/units/index.ts';
import { NOON, setupOf } from './plans.ts';
import { postponing } from './replans.ts';

/*
 * A run on a terminal of its own, for tests through a real pseudo-terminal, with a keeper in this process and a planner that
 * knows one answer: everything a quarter of an hour later; with --holds, that nothing need change.
 */
const setup = setupOf(`
components:
  cream:
    steps:
      - warm:  { takes: 6 min, hands: near }
      - chill: { rest: 30 min - 4 h, uses: [fridge shelf] }
  finish:
    steps:
      - fold: { takes: 10 min, hands: busy, needs: [cream] }
`);
const holds = process.argv.includes('--holds');
const later = postponing(900);
const replanner = directReplanner(setup.workload, (workload, request) =>
  holds ? { kind: 'as told' } : later(workload, request),
);
const started = performance.now();
const clock = {
  wall: () => epochMs(NOON + Math.floor(performance.now() - started)),
  elapsed: () => performance.now() - started,
  boot: 'fixture',
};
const keeper = openLocalKeeper({ journal: memoryJournal(setup), engine: benchEngine, clock, replanner });
const ticking = setInterval(() => keeper.tick(), 100);
const { stdin, stdout, env } = process;
const show = process.argv.includes('--plain') ? runPlain : runBoard;
const end = await show(keeper, { stdin, stdout, env });
clearInterval(ticking);
stdout.write(`board ended: ${end.kind}\n`);
stdin.unref();
