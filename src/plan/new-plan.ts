/**
 * A small plan with comments to begin from. It checks clean as it is, and brings its own kitchen, so that it can be
 * scheduled at once. `name` becomes the title; what a title cannot have in it is left out.
 */
export function newPlanText(name: string): string {
  const words = name
    .replaceAll(/[^\p{L}\p{M}\p{N}]+/gu, ' ')
    .trim()
    .slice(0, 60);
  const title = words === '' ? 'New plan' : `${words.slice(0, 1).toUpperCase()}${words.slice(1)}`;
  return PLAN.replace('TITLE', () => title);
}

const PLAN = `# A plan for thirdhand. Change anything; "thirdhand check" says what it does not understand.
thirdhand: 1
title: "TITLE"
makes: 12 tartlets              # "--yield 24" makes twice as many
# serve: 16:00                  # or say it when you start: --serve 16:00
margin: 10 min                  # all is ready this long before service

kitchen:                        # or the name of a kitchen file
  cooks: 1
  hobs: 2                       # a step claims one as "hob"
  ovens:
    oven: { shelves: 2, heats: 12 C/min, cools: 3 C/min }
  cold: { fridge shelf: 2 }
  tools: { saucepan: 2, tray: { count: 2, carries: pieces } }
  rules: none chosen            # or the food code whose cooling rules are to be watched: us food code

components:
  cases:
    title: Tartlet cases
    keeps: 2 d                  # from baked to its last use
    steps:                      # one after the other
      - rub in: { takes: 8-12 min, hands: busy }
      - rest:   { rest: 1 h - 2 d, uses: [fridge shelf] }
      - line:   { each: 40 s }  # for each piece; busy hands unless it says otherwise
      - bake:
          takes: 14-18 min      # nature decides; you say when
          oven: { at: 180 C, door: usable }
          uses: [tray]
          until: { cue: sand coloured at the rim }
          do: tray into the oven, middle shelf
          caution: hot tray

  curd:
    keeps: 1 d
    cooling: cooked
    steps:
      - cook:
          takes: 6-10 min
          usually: 8 min
          hands: busy
          uses: [hob, saucepan]
          until: { all: [ { probe: curd, reaches: 82 C }, { cue: it coats the spoon } ] }
          caution: steam and a hot pan
      - chill:  { rest: at least 90 min, within: 10 min, uses: [fridge shelf] }

  finish:
    keeps: 2 h                  # from filled to service
    steps:
      - fill:   { each: 15 s, needs: [cases, curd] }
`;
