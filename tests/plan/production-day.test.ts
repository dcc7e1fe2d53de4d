import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import type { SourceFile, Step } from '../../src/plan/index.ts';
import { load, told } from './support.ts';

const FOLDER = fileURLToPath(new URL('../../plans/production-day/', import.meta.url));
const read = (file: string): SourceFile => ({ file, bytes: new Uint8Array(readFileSync(FOLDER + file)) });
const names = readdirSync(FOLDER).filter((name) => name.endsWith('.yaml'));
const findKitchen = (name: string): SourceFile => read(`kitchens/${name}.yaml`);

/** How long a step keeps hands busy, in hours. */
const busyHours = ({ hands, length }: Step): number =>
  hands !== 'busy' || length.kind === 'rest' ? 0 : length.range.usual / 3600;

describe('the full production day', () => {
  const { workload, diagnostics } = load(names.map(read), { findKitchen });
  const steps = workload?.components.flatMap((component) => component.steps) ?? [];

  test('is six plans of some 150 steps for one cook and two ovens, read without a complaint', () => {
    expect(diagnostics.map((found) => `${told(found)} ${found.message}`)).toEqual([]);
    expect(workload?.plans.map(({ serve }) => serve?.hour).toSorted((a = 0, b = 0) => a - b)).toEqual([
      7, 10, 12, 15, 17, 20,
    ]);
    expect(workload?.kitchen).toMatchObject({ cooks: 1, ovens: [{ name: 'deck' }, { name: 'fan oven' }] });
    expect(workload?.kitchen.hours?.[0]).toEqual({
      from: { hour: 4, minute: 0 },
      to: { hour: 21, minute: 0 },
    });
    expect(steps.length).toBeGreaterThanOrEqual(140);
    expect(steps.length).toBeLessThanOrEqual(160);
  });

  test('leaves the cook room: less than two thirds of the day and the afternoon before are work', () => {
    const busy = steps.reduce((sum, step) => sum + busyHours(step), 0);
    // From 15:00 to 21:00, and from 4:00 to 19:40.
    const open = 6 + 15.7;
    expect(busy / open).toBeGreaterThan(0.5);
    expect(busy / open).toBeLessThan(0.67);
  });

  test('has calls that are short enough for a screen, and hot steps that warn', () => {
    expect(steps.filter((step) => step.action.length > 60 || step.action === step.name)).toEqual([]);
    expect(workload?.components.filter(({ title }) => title.length > 20)).toEqual([]);
    for (const [index, plan] of (workload?.plans ?? []).entries()) {
      const own = workload?.components.filter((component) => component.plan === index) ?? [];
      const warned = own.flatMap((component) => component.steps).filter((step) => step.caution !== undefined);
      expect([plan.name, warned.length > 1]).toEqual([plan.name, true]);
    }
  });

  test.each(names)('%s is right alone, and names its sources and its amounts', (name) => {
    expect(load(read(name), { findKitchen }).diagnostics).toEqual([]);
    const text = new TextDecoder().decode(read(name).bytes);
    expect(text).toMatch(/^# Amounts for /m);
    expect(text).toMatch(/# (?:.*\. )?source: /m);
  });
});
