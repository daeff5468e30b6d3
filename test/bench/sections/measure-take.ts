// S3: loudness, range and true peak of a take of 180 s, against ffmpeg's ebur128; and all that intake
// measures of it (check and voice), against ffmpeg's ebur128 and astats.

import { resolve } from 'node:path'
import { type Contestant, holdContest, tableOfContest } from '../contest.ts'
import { startJobProcess } from '../job-process.ts'
import { takeloftCommand } from '../like-chain.ts'
import { RATE_HZ, speechTake } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, inRoot } from '../places.ts'
import type { Section } from '../report.ts'
import { timeCommand } from '../timed-command.ts'
import { TAKE_SECONDS } from './process-take.ts'

interface Measuring {
  readonly id: string
  readonly title: string
  readonly aim: string
  readonly verb: string
  readonly job: 'measureLevels' | 'measureTake'
  readonly filters: string
}

const LEVELS: Measuring = {
  id: 'S3',
  title: `loudness, range and true peak of one take of ${TAKE_SECONDS} s`,
  aim: 'Aim: the wall ratio of takeloft at most 0.50.',
  verb: 'measure --levels-only',
  job: 'measureLevels',
  filters: 'ebur128=peak=true:framelog=verbose',
}

const EVERYTHING: Measuring = {
  id: 'check',
  title: `check and voice of one take of ${TAKE_SECONDS} s`,
  aim: 'Aim: the wall ratio of takeloft at most 4.',
  verb: 'measure',
  job: 'measureTake',
  filters: 'ebur128=peak=true:framelog=verbose,astats',
}

type Say = (message: string) => void

export const measureLevels = (options: BenchOptions, say: Say): Promise<Section> =>
  measure(LEVELS, options, say)
export const measureTake = (options: BenchOptions, say: Say): Promise<Section> =>
  measure(EVERYTHING, options, say)

async function measure(
  { id, title, aim, verb, job, filters }: Measuring,
  { rounds }: BenchOptions,
  say: Say,
): Promise<Section> {
  const take = speechTake(TAKE_SECONDS, 0)
  const folder = freshFolder(id)
  const commands = {
    takeloft: takeloftCommand(`${verb} ${take}`),
    ffmpeg: `ffmpeg -hide_banner -nostats -nostdin -i ${take} -af ${filters} -f null -`,
  }
  const jobs = startJobProcess()
  const input = { path: resolve(inRoot(take)), workingFolder: resolve(inRoot(folder)), peaksFolder: null }
  const contestants: readonly Contestant[] = [
    { name: 'takeloft', run: () => timeCommand(commands.takeloft) },
    { name: 'ffmpeg', run: () => timeCommand(commands.ffmpeg) },
    {
      name: 'takeloft, job alone',
      run: async () => (await jobs.run({ name: job, input, profiled: false })).cost,
    },
  ]
  try {
    const costs = await holdContest(contestants, rounds, say)
    return {
      id,
      title,
      commands,
      notes: [
        aim,
        'Takeloft also takes the SHA-256, momentary and short-term maxima, DC and what the meter finds.',
      ],
      tables: [tableOfContest('ratios against ffmpeg', contestants, costs, 1, TAKE_SECONDS * RATE_HZ)],
    }
  } finally {
    jobs.end()
  }
}
