// S1: the chain of the comparison over one take of 180 s, file to file, against ffmpeg.

import { rmSync } from 'node:fs'
import { resolve } from 'node:path'
import { type Contestant, holdContest, tableOfContest } from '../contest.ts'
import { startJobProcess } from '../job-process.ts'
import { ffmpegCommand, LIKE_SETUPS, soxCommand, takeloftCommand, writeLikeChain } from '../like-chain.ts'
import { RATE_HZ, speechTake } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, inRoot } from '../places.ts'
import type { Section } from '../report.ts'
import { timeCommand } from '../timed-command.ts'
import { haveProgram } from '../tools.ts'

export const TAKE_SECONDS = 180
/** What Takeloft writes. */
const RESULTS = ['takeloft.wav', 'short.wav', 'job.wav']

export async function processTake(
  { rounds }: BenchOptions,
  say: (message: string) => void,
): Promise<Section> {
  const take = speechTake(TAKE_SECONDS, 0)
  const folder = freshFolder('S1')
  const chain = writeLikeChain(`${folder}/chain.json`)
  const commands: Record<string, string> = {
    takeloft: takeloftCommand(`process ${take} ${folder}/takeloft.wav --chain ${chain}`),
    ffmpeg: ffmpegCommand(take, `${folder}/ffmpeg.wav`),
    ...(haveProgram('sox') ? { sox: soxCommand(take, `${folder}/sox.wav`) } : {}),
    'takeloft, 1 s': takeloftCommand(`process ${speechTake(1, 0)} ${folder}/short.wav --chain ${chain}`),
  }
  const jobs = startJobProcess()
  const job: Contestant = {
    name: 'takeloft, job alone',
    async run() {
      const input = {
        from: resolve(inRoot(take)),
        to: resolve(inRoot(`${folder}/job.wav`)),
        setups: LIKE_SETUPS,
        encoding: 'pcm-24',
      } as const
      return (await jobs.run({ name: 'processFile', input, profiled: false })).cost
    },
  }
  const children = Object.entries(commands).map(
    ([name, command]): Contestant => ({ name, run: () => timeCommand(command) }),
  )
  // What Takeloft wrote goes before each run, because it refuses to replace a file.
  const contestants = [children[0], children[1], job, ...children.slice(2)].map(
    (contestant): Contestant => ({
      ...contestant,
      run() {
        for (const file of RESULTS) rmSync(inRoot(`${folder}/${file}`), { force: true })
        return contestant.run()
      },
    }),
  )
  try {
    const costs = await holdContest(contestants, rounds, say)
    return {
      id: 'S1',
      title: `one take of ${TAKE_SECONDS} s through the chain of the comparison, file to file`,
      commands,
      notes: [
        'Aim: the wall ratio of takeloft at most 0.50.',
        '"job alone" is the same work in a warm process; "1 s" is a take of a second, so hardly more than start-up.',
        'Takeloft also dithers, measures every joint and holds true peaks; sox has no de-esser and no limiter.',
      ],
      tables: [tableOfContest('ratios against ffmpeg', contestants, costs, 1, TAKE_SECONDS * RATE_HZ)],
    }
  } finally {
    jobs.end()
  }
}
