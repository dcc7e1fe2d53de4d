import { describe, expect, test } from 'vitest';
import { readProgenMax, wrongStarts } from '../../../scripts/bench-planner/progen-max.ts';

const TEXT = `2\t1\t0\t0
0\t1\t2\t1\t2\t[0]\t[0]
1\t1\t2\t2\t3\t[1]\t[3]
2\t1\t2\t1\t3\t[-4]\t[2]
3\t1\t0
0\t1\t0\t0
1\t1\t3\t2
2\t1\t2\t2
3\t1\t0\t0
3
`;

describe('reading an instance', () => {
  test('lags, durations, demands and capacities', () => {
    expect(readProgenMax(TEXT)).toEqual({
      durations: [0, 3, 2, 0],
      lags: [
        { from: 0, to: 1, lag: 0 },
        { from: 0, to: 2, lag: 0 },
        { from: 1, to: 2, lag: 1 },
        { from: 1, to: 3, lag: 3 },
        { from: 2, to: 1, lag: -4 },
        { from: 2, to: 3, lag: 2 },
      ],
      demands: [[0], [2], [2], [0]],
      capacities: [3],
    });
  });

  test.each([
    ['', 'line 1'],
    [TEXT.replace('[-4]', '[x]'), 'line 4: whole numbers'],
    [TEXT.replace('\t1\t3\t[-4]', '\t1\t[-4]'), 'line 4: "2 1 count'],
    [TEXT.replace('3\t1\t0\t0\n3', '3\t1\t0\n3'), 'line 9'],
    [TEXT.replace('\t3\t[1]', '\t9\t[1]'), 'there is no activity 9'],
  ])('what is wrong is told by line (%#)', (text, message) => {
    expect(() => readProgenMax(text)).toThrow(message);
  });
});

describe('checking starts', () => {
  const instance = readProgenMax(TEXT);
  test.each([
    ['right', [0, 0, 3, 5], []],
    ['too near', [0, 0, 0, 5], ['1 to 2: the lag is not kept', 'resource 0 at 0: 4 of 3']],
    ['too far', [0, 0, 5, 7], ['2 to 1: the lag is not kept']],
    ['both at once', [0, 0, 1, 5], ['resource 0 at 1: 4 of 3']],
    ['outside', [0, 0, 3, 4], ['2 does not lie within the project', '2 to 3: the lag is not kept']],
  ])('%s', (_name, starts, wrong) => {
    expect(wrongStarts(instance, starts)).toEqual(wrong);
  });
});
