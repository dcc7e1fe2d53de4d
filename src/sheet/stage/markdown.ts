import type { Rundown as StageRundown } from '../../planner/index.ts';
import { countdown, secondsBetween } from '../../units/index.ts';
import { cells, dayTables, plain } from '../markdown.ts';
import { labelsOf } from './labels.ts';
import { amountsOf, prepOf } from './prep.ts';
import { onAir, scriptOf, stageClock, stateWords } from './script.ts';
import { amountWords, copiesWords, headWords, isSeen, leftAt, swapDetails, type StagePaper } from './text.ts';

/** One paper as Markdown. Names from the plan cannot break out of their cells. */
export function stageMarkdown(rundown: StageRundown, paper: StagePaper): string {
  return { rundown: rundownPage, labels: labelPage, prep: prepPage }[paper](rundown).join('\n');
}

function rundownPage(rundown: StageRundown): string[] {
  const [title = '', ...head] = headWords(rundown);
  return [
    `# ${plain(title)}`,
    '',
    ...head.map((line) => `- ${plain(line)}`),
    '',
    '## Rundown',
    '',
    '| on air | left | for | | what | how |',
    '| ---: | ---: | ---: | --- | --- | --- |',
    ...scriptOf(rundown).rows.map((row) =>
      cells([
        onAir(rundown, row.at),
        leftAt(rundown, row.at),
        countdown(secondsBetween(row.at, row.end)),
        isSeen(row) ? row.kind.toUpperCase() : row.kind,
        row.what,
        row.details.map(({ name, words }) => `${name} ${words}`).join('; '),
      ]),
    ),
    cells([onAir(rundown, rundown.ends), '0:00', '', 'END', '', '']),
    '',
    '## Swaps',
    '',
    ...rundown.swaps.flatMap((swap) => [
      `- **${swap.id}** ${plain(`${swap.title} ${stateWords(swap)}: ${copiesWords(swap)}`)}`,
      ...swapDetails(rundown, swap).map((words) => `  - ${plain(words)}`),
    ]),
    '',
  ];
}

const labelPage = (rundown: StageRundown): string[] => [
  '## Labels',
  '',
  '| swap | what | copy | | for | right from | use by | stands |',
  '| --- | --- | --- | --- | --- | --- | --- | --- |',
  ...labelsOf(rundown).map((label) =>
    cells([
      label.swap,
      `${label.title} ${label.state}`,
      `${label.copy} of ${label.copies}`,
      label.backup ? 'BACKUP' : '',
      `${stageClock(rundown, label.at)}: ${label.purpose}`,
      stageClock(rundown, label.rightFrom),
      label.useBy === undefined ? '' : stageClock(rundown, label.useBy),
      label.place,
    ]),
  ),
  '',
];

const prepPage = (rundown: StageRundown): string[] => [
  `# ${plain(rundown.title)}: work off stage`,
  '',
  '**Weigh out:**',
  '',
  ...amountsOf(rundown).map((amount) => `- ${plain(amountWords(amount))}`),
  '',
  ...dayTables(prepOf(rundown), 'ON AIR'),
];
