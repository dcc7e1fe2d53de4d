import { demoDemonstrations, demoPlans } from './files.ts';

/** What the program says when it is called without a command: what a newcomer can do next. */
export function startHere(): string {
  const demos = demoPlans();
  const demo = demos.find((name) => name === 'gallery-opening') ?? demos[0] ?? 'FILE';
  return `thirdhand: a third hand at the bench, for pastry made alone.

  thirdhand start ${demo} --serve soonest
                              run a demo plan now; space answers what is called, ? helps, q leaves
  thirdhand rehearse ${demo} --watch --speed 60
                              watch a simulated cook run it, an hour a minute
  thirdhand sheet ${demo}
                              when to do what, to pin to the wall
  thirdhand new my-plan       write a small plan of your own to begin from
  thirdhand check my-plan.yaml
                              every problem in it, and what would be right

  Demo plans: ${demos.join(', ')}
  Before an audience: ${demoDemonstrations().join(', ')}
  thirdhand --help lists every command, thirdhand help start the options of one.`;
}
