import { build } from '../../scripts/build.ts';

/** The tests that start real processes run the shipped bundle, so it is made once before the suite. */
export default async function setup(): Promise<void> {
  await build();
}
