// S5, and how cost grows with length: the same stack bounced at 3, 15 and 60 minutes.

import { rmSync } from 'node:fs'
import { takeloftCommand, WHOLE_CHAIN } from '../like-chain.ts'
import { RATE_HZ, syllableNoise } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, inRoot } from '../places.ts'
import type { Cell, Section } from '../report.ts'
import { buildSessions } from '../stack-session.ts'
import { type CommandCost, timeCommand } from '../timed-command.ts'

const GROUPS = ['Lead', 'Doubles', 'Doubles', 'Doubles', 'Ad-libs', 'Ad-libs'] as const
const MEGABYTE = 1e6

export async function longBounce({ long }: BenchOptions, say: (message: string) => void): Promise<Section> {
  const lengths = long ? [3, 15, 60] : [3, 15]
  const folder = freshFolder('S5')
  const catalogue = `${folder}/catalogue.sqlite`
  say('making and taking in the songs')
  const sessions = await buildSessions(
    catalogue,
    lengths.map((minutes) => {
      const take = syllableNoise(minutes)
      const layers = GROUPS.map((group) => ({ take, group }))
      return { title: `${minutes} minutes`, layers, stages: WHOLE_CHAIN, sharing: 'own' as const }
    }),
  )
  const commandFor = (k: number): string =>
    takeloftCommand(`bounce --catalogue ${catalogue} --session ${sessions[k]} --out ${folder}/stems`)
  const costs: CommandCost[] = []
  for (const [k, minutes] of lengths.entries()) {
    say(`${minutes} minutes of song`)
    costs.push(await timeCommand(commandFor(k)))
    rmSync(inRoot(`${folder}/stems`), { recursive: true, force: true })
  }
  const [first] = costs
  return {
    id: 'S5',
    title: `memory and cost of a bounce by its length: ${GROUPS.length} layers, 3 groups, every stage on`,
    commands: { takeloft: commandFor(0) },
    notes: [
      'Aim: under 300 MB, and no growth with length. Peak is VmHWM of every process, summed.',
      ...(long ? [] : ['--long adds 60 minutes.']),
    ],
    tables: [
      {
        title: 'growth with length',
        columns: [
          { key: 'minutes', head: 'minutes', digits: 0 },
          { key: 'peakMegabytes', head: 'peak MB', digits: 0 },
          { key: 'megabytesPerMinute', head: 'MB/minute since 3', digits: 2 },
          { key: 'wallS', head: 'wall s', digits: 2 },
          { key: 'userS', head: 'user s', digits: 2 },
          { key: 'userNs', head: 'user ns/layer-sample', digits: 1 },
          { key: 'perMinute', head: 'user s/minute against 3', digits: 2 },
        ],
        rows: costs.map((cost, k): Record<string, Cell> => {
          const minutes = lengths[k]
          const grown = bytesBetween(first, cost)
          return {
            minutes,
            peakMegabytes: cost.peakBytes === null ? null : cost.peakBytes / MEGABYTE,
            megabytesPerMinute: k === 0 || grown === null ? null : grown / MEGABYTE / (minutes - lengths[0]),
            wallS: cost.wallS,
            userS: cost.userS,
            userNs: (cost.userS / (GROUPS.length * minutes * 60 * RATE_HZ)) * 1e9,
            perMinute: cost.userS / minutes / (first.userS / lengths[0]),
          }
        }),
      },
    ],
  }
}

const bytesBetween = (first: CommandCost, later: CommandCost): number | null =>
  first.peakBytes === null || later.peakBytes === null ? null : later.peakBytes - first.peakBytes
