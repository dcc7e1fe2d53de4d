import type { Step, StepId, Workload } from '../plan/index.ts';
import { endOf, startOf, type Lag, type Point, type Schedule } from './core/index.ts';
import { lengthBounds } from './drafting.ts';
import type { Extraction } from './extract.ts';
import type { Known, Origin, PromiseNetwork, Uncertain } from './promise-network.ts';
import type { ContingentLink, OrdinaryLink } from './stnu/index.ts';

/** The point of the network at which work begins, or now: its zero point, before which there is none. What is known stands so long before it. */
const BEGIN = 0;

/** Where a point of the problem stands in the network: at one of its points, or so many seconds after it. */
interface Stand {
  readonly point: number;
  readonly plus: number;
}

/**
 * The network while it is drawn.
 *
 * A call is answered within `answer` seconds. So the point of a start is its call: the step is under way by `answer` later, and is
 * over, and said to be over, within its range and as much again for each of the two answers. Limits on what is called are that
 * much narrower, but never so narrow that nothing is left: what must follow at once is called at once.
 */
export class PromiseDraft {
  readonly workload: Workload;
  readonly extraction: Extraction;
  readonly schedule: Schedule;
  readonly answer: number;
  /** When work begins, in the problem's seconds. */
  private readonly begin: number;
  private readonly known: Known;
  private readonly links: OrdinaryLink[] = [];
  private readonly origins: Origin[] = [];
  private readonly contingent: ContingentLink[] = [];
  private readonly uncertain: Uncertain[] = [];
  private readonly stands: Stand[] = [];
  /** Rests that end when something that takes them begins. */
  private readonly endingThemselves = new Set<StepId>();
  private points = 1;

  constructor(
    [workload, extraction, schedule]: readonly [Workload, Extraction, Schedule],
    answer: number,
    begin: number,
    known: Known,
  ) {
    [this.workload, this.extraction, this.schedule] = [workload, extraction, schedule];
    [this.answer, this.begin, this.known] = [answer, begin, known];
    this.place();
  }

  /** When the timetable has a point of the problem. */
  at(point: Point): number {
    return this.schedule.times[point] ?? 0;
  }

  newPoint(): number {
    this.points += 1;
    return this.points - 1;
  }

  /** Where a point of the problem stands. */
  standOf(point: Point): Stand {
    return this.stands[point] ?? { point: BEGIN, plus: 0 };
  }

  stepAt(activity: number): Step {
    const step = this.extraction.steps[activity];
    if (!step) throw new Error(`no step is activity ${activity}`);
    return step;
  }

  /** `x[to] >= x[from] + weight`, between points of the network. */
  atLeast(from: number, to: number, weight: number, origin: Origin): void {
    if (from === to) return;
    this.links.push({ from: to, to: from, weight: -weight });
    this.origins.push(origin);
  }

  /** The same between points of the problem, where one comes before the other. */
  lag(from: Point, to: Point, weight: number, origin: Origin): void {
    const [earlier, later] = [this.standOf(from), this.standOf(to)];
    this.atLeast(earlier.point, later.point, weight + earlier.plus - later.plus, origin);
  }

  /** The same from when something is gone: a rest that ends when it is taken keeps its place until then, whatever must pass after it. */
  lagFromGone(from: Point, to: Point, weight: number, origin: Origin): void {
    const after = this.endsItself(from) ? this.standOf(from).plus : 0;
    this.lag(from, to, weight - after, origin);
  }

  nature(link: ContingentLink, of: Uncertain): void {
    this.contingent.push(link);
    this.uncertain.push(of);
  }

  /** Whether it has come. */
  isKnown(point: Point): boolean {
    return this.known.points.has(point);
  }

  /** Whether the cook decides when it is, by answering a call. */
  isCalled(point: Point): boolean {
    if (this.isKnown(point)) return false;
    const step = this.extraction.steps[point >> 1];
    return step !== undefined && (point % 2 === 0 || step.length.kind === 'rest');
  }

  /** Gives each start and end a point; a rest that ends with what takes it has its end there. */
  private place(): void {
    const { steps, extras } = this.extraction;
    const fresh = (): Stand => ({ point: this.newPoint(), plus: 0 });
    const knownOr = (point: Point): Stand => {
      const at = this.known.points.get(point);
      return at === undefined ? fresh() : { point: BEGIN, plus: at - this.begin };
    };
    steps.forEach((_, activity) => {
      this.stands[startOf(activity)] = knownOr(startOf(activity));
    });
    steps.forEach((step, activity) => {
      if (this.isKnown(endOf(activity))) {
        this.stands[endOf(activity)] = knownOr(endOf(activity));
        return;
      }
      const taker = this.takerOf(step);
      if (taker) this.endingThemselves.add(step.id);
      const start = taker && this.standOf(this.extraction.startOf(taker.id));
      this.stands[endOf(activity)] = start
        ? { point: start.point, plus: -this.waitAfter(step, taker) }
        : fresh();
    });
    this.workload.plans.forEach((_, plan) => {
      const served = fresh();
      this.stands[startOf(extras.service(plan))] = served;
      this.stands[endOf(extras.service(plan))] = served;
    });
  }

  /** What takes a rest that is over when it is taken: the first, by the timetable, of what comes after it and needs it. */
  private takerOf(rest: Step): Step | undefined {
    if (rest.length.kind !== 'rest' || rest.until) return undefined;
    const { steps } = this.extraction;
    const next = steps[steps.indexOf(rest) + 1];
    const takers = [
      ...(next?.component === rest.component ? [next] : []),
      ...steps.filter(({ needs }) => needs.includes(rest.id)),
    ];
    // What rests in an oven is called out of it when the timetable says so, where nothing takes it yet.
    const end = this.at(this.extraction.endOf(rest.id));
    if (rest.oven && takers.every((taker) => this.startIn(taker) > end)) return undefined;
    return takers.reduce<Step | undefined>(
      (first, step) => (first && this.startIn(first) <= this.startIn(step) ? first : step),
      undefined,
    );
  }

  private startIn({ id }: Step): number {
    return this.at(this.extraction.startOf(id));
  }

  private waitAfter(rest: Step, taker: Step): number {
    return taker.component === rest.component && !taker.needs.includes(rest.id) ? Math.ceil(taker.after) : 0;
  }

  /** What nature decides, and how long a rest is at least. */
  drawLengths(): void {
    this.extraction.steps.forEach((step, activity) => {
      const [from, to] = [startOf(activity), endOf(activity)];
      if (this.isKnown(to)) return;
      const { length } = step;
      const rule = this.ruleOf(activity);
      // The start is a call, and may be answered late; one that has come was that late.
      const late = this.isKnown(from) ? 0 : this.answer;
      if (length.kind === 'rest') {
        const { least, most } = lengthBounds(step);
        this.lag(from, to, least + late, rule);
        if (most === least) this.lag(to, from, -(least + late), rule);
        return;
      }
      // The clock needs nobody to say that it is over.
      const isClock = length.kind === 'takes' && length.range.low === length.range.high && !step.until;
      const { point, plus } = this.standOf(from);
      const low = Math.max(1, Math.floor(length.range.low) + plus);
      const high = Math.ceil(length.range.high) + plus + late + (isClock ? 0 : this.answer);
      const link = { start: point, end: this.standOf(to).point, low, high: Math.max(low, high) };
      this.natureOrFixed(link, { kind: 'step', step }, rule);
    });
  }

  natureOrFixed(link: ContingentLink, of: Uncertain, origin: Origin): void {
    if (link.low < link.high) this.nature(link, of);
    else {
      this.atLeast(link.start, link.end, link.low, origin);
      this.atLeast(link.end, link.start, -link.high, origin);
    }
  }

  private ruleOf(activity: number): Origin {
    const rule = this.extraction.rules[this.extraction.problem.activities[activity]?.rule ?? -1];
    if (!rule) throw new Error(`activity ${activity} has no rule`);
    return { kind: 'rule', rule };
  }

  /** Order, waits, needs, keeping times. */
  drawRules(): void {
    const { problem, rules } = this.extraction;
    for (const lag of problem.lags) {
      const rule = rules[lag.rule];
      if (!rule || rule.kind === 'begin') continue;
      const origin: Origin = { kind: 'rule', rule };
      const weight = this.answered(lag);
      if (rule.kind === 'keeps') this.lagFromGone(lag.from, lag.to, weight, origin);
      else this.lag(lag.from, lag.to, weight, origin);
    }
  }

  /** A lag with room for the answers of those who are called. */
  private answered({ from, weight, rule: number }: Lag): number {
    const rule = this.extraction.rules[number];
    if (!rule || !this.isCalled(from)) return weight;
    const limit = -weight;
    switch (rule.kind) {
      case 'within':
        return -this.narrowed(limit, Math.ceil(rule.step.after));
      case 'rests at most':
        return -Math.max(limit - this.answer, lengthBounds(rule.step).least + this.answer);
      case 'keeps':
        return -this.narrowed(limit, 0);
      default:
        // What comes after an answer waits for it.
        return this.endsItself(from) ? weight : weight + this.answer;
    }
  }

  /** A limit less an answer, but no less than what must pass in any case. */
  private narrowed(limit: number, least: number): number {
    return Math.min(limit, Math.max(limit - this.answer, least));
  }

  private endsItself(point: Point): boolean {
    const step = this.extraction.steps[point >> 1];
    return point % 2 === 1 && step !== undefined && this.endingThemselves.has(step.id);
  }

  /** The services, and the hours in which there is work. */
  drawFrame(services: readonly number[]): void {
    const { extras, problem, steps } = this.extraction;
    services.forEach((served, plan) => {
      if (this.known.served.includes(plan)) return;
      const { point } = this.standOf(startOf(extras.service(plan)));
      this.fixed(point, served - this.begin, { kind: 'served', plan });
    });
    steps.forEach((step, activity) => {
      if (this.isKnown(endOf(activity))) return;
      const start = this.standOf(startOf(activity)).point;
      const calendar = problem.calendars[problem.activities[activity]?.calendar ?? -1];
      if (!calendar) return;
      const [from, to] = [this.at(startOf(activity)), this.at(endOf(activity))];
      const opens = calendar.closed.findLast((closed) => closed.to <= from)?.to;
      const closes = calendar.closed.find((closed) => closed.from >= to)?.from;
      const origin = (edge: 'opening' | 'closing'): Origin => ({ kind: 'hours', step, edge });
      if (opens !== undefined) this.atLeast(BEGIN, start, opens - this.begin, origin('opening'));
      if (closes !== undefined)
        this.atLeast(this.standOf(endOf(activity)).point, BEGIN, this.begin - closes, origin('closing'));
    });
  }

  private fixed(point: number, after: number, origin: Origin): void {
    this.atLeast(BEGIN, point, after, origin);
    this.atLeast(point, BEGIN, -after, origin);
  }

  made(): Omit<PromiseNetwork, 'begin' | 'knobs'> {
    const { steps } = this.extraction;
    const pairs = (side: (activity: number) => Point): [StepId, number][] =>
      steps.flatMap(({ id }, activity) => {
        const { point } = this.standOf(side(activity));
        return point === BEGIN ? [] : [[id, point]];
      });
    return {
      network: { points: this.points, links: this.links, contingent: this.contingent },
      origins: this.origins,
      uncertain: this.uncertain,
      starts: new Map(pairs(startOf)),
      ends: new Map(pairs(endOf).filter(([id]) => !this.endingThemselves.has(id))),
    };
  }
}
