import { begunWith, between, chanceOf, letters } from '../chance.ts';
import type { CookManner } from '../cook.ts';
import { forgotten, quantile, shared, type Life } from '../life.ts';
import { drawn } from '../nature.ts';
import type { DelayLetters, OvenLuck, StepPart } from './parts.ts';

/** What one rehearsal is drawn from. The same questions are asked as by the simulated cook and nature of the real bench. */
export class Draws {
  private seed = 0;
  private day = 0;
  private readonly life: Life | undefined;
  private readonly manner: CookManner;

  constructor(life: Life | undefined, manner: CookManner) {
    this.life = life;
    this.manner = manner;
  }

  /** Begins a rehearsal: draws what nature has for each step. */
  begin(seed: number, steps: readonly StepPart[], lucks: readonly OvenLuck[]): void {
    this.seed = begunWith(seed);
    const { life } = this;
    if (life) {
      this.day = quantile(chanceOf(this.seed, DAY));
      for (const luck of lucks) luck.value = quantile(chanceOf(this.seed, luck.letters));
    }
    for (const step of steps) {
      const own = chanceOf(this.seed, step.draws.luck);
      const luck = life ? shared(life, own, this.day, step.draws.oven?.value) : own;
      step.drawn = drawn(step.draws.lot, luck);
    }
  }

  /** How long after it could the cook presses, ms. */
  delay(asked: DelayLetters): number {
    const { seed, manner, life } = this;
    const prompt = between(manner.soonest, manner.latest, chanceOf(seed, asked.delay));
    if (!life) return prompt * 1000;
    const isForgotten = chanceOf(seed, asked.forgets);
    // How long is asked only where it matters: it changes nothing else.
    if (isForgotten >= life.forgets) return prompt * 1000;
    return (prompt + forgotten(life, isForgotten, chanceOf(seed, asked.forgottenFor))) * 1000;
  }
}

const DAY = letters('day');
