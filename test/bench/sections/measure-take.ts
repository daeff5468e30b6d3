// S3: loudness, range and true peak of a take of 180 s, against ffmpeg's ebur128.

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

export async function measureTake(
  { rounds }: BenchOptions,
  say: (message: string) => void,
): Promise<Section> {
  const take = speechTake(TAKE_SECONDS, 0)
  const folder = freshFolder('S3')
  const commands = {
    takeloft: takeloftCommand(`measure ${take}`),
    ffmpeg: `ffmpeg -hide_banner -nostats -nostdin -i ${take} -af ebur128=peak=true:framelog=verbose -f null -`,
  }
  const jobs = startJobProcess()
  const input = { path: resolve(inRoot(take)), workingFolder: resolve(inRoot(folder)), peaksFolder: null }
  const contestants: readonly Contestant[] = [
    { name: 'takeloft', run: () => timeCommand(commands.takeloft) },
    { name: 'ffmpeg', run: () => timeCommand(commands.ffmpeg) },
    {
      name: 'takeloft, job alone',
      run: async () => (await jobs.run({ name: 'measureTake', input, profiled: false })).cost,
    },
  ]
  try {
    const costs = await holdContest(contestants, rounds, say)
    return {
      id: 'S3',
      title: `the facts of one take of ${TAKE_SECONDS} s`,
      commands,
      notes: [
        'Aim: the wall ratio of takeloft at most 0.50.',
        'Takeloft also takes the SHA-256, the drawn peaks, momentary and short-term maxima, DC and the findings.',
      ],
      tables: [tableOfContest('ratios against ffmpeg', contestants, costs, 1, TAKE_SECONDS * RATE_HZ)],
    }
  } finally {
    jobs.end()
  }
}
