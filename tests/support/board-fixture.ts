import { runBoard, runPlain } from '../../src/board/index.ts';
import { epochMs } from '../../src/units/index.ts';
import { benchLink } from './bench-link.ts';
import { at, TIMETABLE, WORKLOAD } from './states.ts';

/*
 * A program that shows the evening's run on its own terminal, for tests through a real pseudo-terminal. The bench is the
 * real one; the clock starts a moment before the first step is due and may run faster (FIXTURE_SPEED).
 */
const speed = Number(process.env['FIXTURE_SPEED'] ?? '1');
const started = performance.now();
const begun = at('17:49:59');
const clock = () => epochMs(begun + Math.floor((performance.now() - started) * speed));
const setup = { run: 'gallery-opening-1', workload: WORKLOAD, timetable: TIMETABLE, begunAt: begun };
const link = benchLink(setup, clock);
const ticking = setInterval(() => link.tick(), 100);
const { stdin, stdout, env } = process;
const show = process.argv.includes('--plain') ? runPlain : runBoard;
const end = await show(link, { stdin, stdout, env });
clearInterval(ticking);
stdout.write(`board ended: ${end.kind}\n`);
stdin.unref();
