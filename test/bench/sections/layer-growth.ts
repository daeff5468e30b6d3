// How the cost of a bounce grows with its layers, from 1 to 32.

import { type Contestant, holdContest } from '../contest.ts'
import { takeloftCommand, WHOLE_CHAIN } from '../like-chain.ts'
import { RATE_HZ, speechTake } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder } from '../places.ts'
import type { Cell, Section } from '../report.ts'
import { buildSessions } from '../stack-session.ts'
import { spreadOf } from '../statistics.ts'
import { timeCommand } from '../timed-command.ts'

const COUNTS = [1, 2, 4, 8, 16, 32] as const
const GROUPS = ['Lead', 'Doubles', 'Ad-libs'] as const
const SECONDS = 60

export async function layerGrowth(
  { rounds }: BenchOptions,
  say: (message: string) => void,
): Promise<Section> {
  const take = speechTake(SECONDS, 0)
  const folder = freshFolder('layers')
  const catalogue = `${folder}/catalogue.sqlite`
  say('placing the layers')
  const sessions = await buildSessions(
    catalogue,
    COUNTS.map((count) => ({
      title: `${count} layers`,
      layers: Array.from({ length: count }, (_, k) => ({ take, group: GROUPS[k % GROUPS.length] })),
      stages: WHOLE_CHAIN,
      sharing: 'own' as const,
    })),
  )
  const commands = COUNTS.map((count, k) =>
    takeloftCommand(`bounce --catalogue ${catalogue} --session ${sessions[k]} --out ${folder}/${count}`),
  )
  const contestants = commands.map(
    (command, k): Contestant => ({ name: `${COUNTS[k]}`, run: () => timeCommand(command) }),
  )
  const costs = await holdContest(contestants, rounds, say)
  const userOf = (k: number): number => spreadOf(costs[k].map((cost) => cost.userS)).median
  return {
    id: 'layers',
    title: `cost of a bounce by its layers: ${SECONDS} s, every stage on, up to 3 groups with chains of their own`,
    commands: { takeloft: commands[0] },
    notes: ['Start-up is in it: about what a take of 1 s shows in S1, and that of one thread more.'],
    tables: [
      {
        title: 'growth with layers',
        columns: [
          { key: 'layers', head: 'layers', digits: 0 },
          { key: 'groups', head: 'groups', digits: 0 },
          { key: 'wallS', head: 'wall s', digits: 2 },
          { key: 'userS', head: 'user s', digits: 2 },
          { key: 'against1', head: 'user against 1 layer', digits: 2 },
          { key: 'moreNs', head: 'user ns/sample of a layer more', digits: 1 },
        ],
        rows: COUNTS.map((layers, k): Record<string, Cell> => {
          // Only between counts with the same groups is the difference that of the layers.
          const isSameGroups = k > 0 && COUNTS[k - 1] >= GROUPS.length
          const moreS = isSameGroups ? (userOf(k) - userOf(k - 1)) / (layers - COUNTS[k - 1]) : null
          return {
            layers,
            groups: Math.min(layers, GROUPS.length),
            wallS: spreadOf(costs[k].map((cost) => cost.wallS)).median,
            userS: userOf(k),
            against1: userOf(k) / userOf(0),
            moreNs: moreS === null ? null : (moreS / (SECONDS * RATE_HZ)) * 1e9,
          }
        }),
      },
    ],
  }
}
