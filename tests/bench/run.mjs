// Time of a step in the shipped module, wherever it runs: Node and a browser take the same cases the same way.

/** As in the native measurement (`examples/step_cost.rs`). */
const REPEATS = 5;
const PARTS = 20;

/**
 * Microseconds of a step by case: each is run several times, and of each of its parts the quickest counts.
 * @param {{ Session: new (plant: string) => any }} module
 * @param {{ name: string, plant: string, commands: object[], settle: number, steps: number }[]} cases
 */
export function run(module, cases) {
  /** @type {Record<string, number>} */
  const found = {};
  for (const { name, plant, commands, settle, steps } of cases) {
    const part = Math.floor(steps / PARTS);
    const quickest = new Array(PARTS).fill(Infinity);
    for (let repeat = 0; repeat < REPEATS; repeat++) {
      const session = new module.Session(plant);
      for (const command of commands) session.command(command);
      session.advance(settle);
      for (let k = 0; k < PARTS; k++) {
        const start = performance.now();
        session.advance(part);
        quickest[k] = Math.min(quickest[k], ((performance.now() - start) * 1000) / part);
      }
      session.free();
    }
    found[name] = quickest.reduce((sum, cost) => sum + cost) / PARTS;
  }
  return found;
}
