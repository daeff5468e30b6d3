// Contestants in turns: ours, theirs, ours, theirs, so that a machine that others use slows
// both alike. Told as the ratio within each round, by the clock and by user CPU time.

import type { Cell, Table } from './report.ts'
import { ratiosOf, spreadOf } from './statistics.ts'

export interface Cost {
  readonly wallS: number
  /** User CPU time of the run and all that it started. */
  readonly userS: number
}

export interface Contestant {
  readonly name: string
  run(): Promise<Cost>
}

/**
 * Costs by contestant, by round. Every contestant runs once before anything counts, and
 * every other round goes backwards, so that nobody always follows the same neighbour.
 */
export async function holdContest(
  contestants: readonly Contestant[],
  rounds: number,
  say: (message: string) => void,
): Promise<Cost[][]> {
  const costs: Cost[][] = contestants.map(() => [])
  for (const contestant of contestants) await contestant.run()
  for (let round = 0; round < rounds; round++) {
    say(`round ${round + 1} of ${rounds}`)
    const order = [...contestants.keys()]
    if (round % 2 === 1) order.reverse()
    for (const k of order) costs[k].push(await contestants[k].run())
  }
  return costs
}

/**
 * The contest as a table of ratios.
 * @param against index of the contestant whom all are held against
 * @param samples that one run gets through, for the cost of one
 */
export function tableOfContest(
  title: string,
  contestants: readonly Contestant[],
  costs: readonly (readonly Cost[])[],
  against: number,
  samples: number,
): Table {
  const wallOf = (k: number): number[] => costs[k].map((cost) => cost.wallS)
  const userOf = (k: number): number[] => costs[k].map((cost) => cost.userS)
  const rows = contestants.map(({ name }, k): Record<string, Cell> => {
    const wall = spreadOf(ratiosOf(wallOf(k), wallOf(against)))
    const user = spreadOf(ratiosOf(userOf(k), userOf(against)))
    const wallS = spreadOf(wallOf(k)).median
    const userS = spreadOf(userOf(k)).median
    return {
      name,
      wallS,
      userS,
      wallNs: (wallS / samples) * 1e9,
      userNs: (userS / samples) * 1e9,
      wallRatio: wall.median,
      wallRatioLeast: wall.least,
      wallRatioMost: wall.most,
      userRatio: user.median,
      userRatioLeast: user.least,
      userRatioMost: user.most,
    }
  })
  return {
    title,
    columns: [
      { key: 'name', head: '' },
      { key: 'wallS', head: 'wall s', digits: 3 },
      { key: 'userS', head: 'user s', digits: 3 },
      { key: 'wallNs', head: 'wall ns/sample', digits: 1 },
      { key: 'userNs', head: 'user ns/sample', digits: 1 },
      { key: 'wallRatio', head: 'wall ratio', digits: 2 },
      { key: 'wallRatioLeast', head: 'least', digits: 2 },
      { key: 'wallRatioMost', head: 'most', digits: 2 },
      { key: 'userRatio', head: 'user ratio', digits: 2 },
      { key: 'userRatioLeast', head: 'least', digits: 2 },
      { key: 'userRatioMost', head: 'most', digits: 2 },
    ],
    rows,
  }
}
