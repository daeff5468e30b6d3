// S2: the bounce of 12 layers of 210 s on two cores, against ffmpeg run two at a time on the
// same 12 files.

import { type Contestant, holdContest, tableOfContest } from '../contest.ts'
import { ffmpegCommand, LIKE_STAGES, takeloftCommand } from '../like-chain.ts'
import { RATE_HZ, speechTake } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, MATERIAL } from '../places.ts'
import type { Section } from '../report.ts'
import { buildSessions, type StackLayer } from '../stack-session.ts'
import { timeCommand } from '../timed-command.ts'

const LAYERS = 12
const LAYER_SECONDS = 210

/** Two leads, six doubles, four ad-libs. */
const groupOf = (k: number): StackLayer['group'] => (k < 2 ? 'Lead' : k < 8 ? 'Doubles' : 'Ad-libs')

export async function bounceStack(
  { rounds }: BenchOptions,
  say: (message: string) => void,
): Promise<Section> {
  const layers = Array.from({ length: LAYERS }, (_, k) => ({
    take: speechTake(LAYER_SECONDS, k + 1),
    group: groupOf(k),
  }))
  const folder = freshFolder('S2')
  const catalogue = `${folder}/catalogue.sqlite`
  say('taking in the layers')
  const [own, shared] = await buildSessions(catalogue, [
    { title: 'Own', layers, stages: LIKE_STAGES, sharing: 'own' },
    { title: 'Shared', layers, stages: LIKE_STAGES, sharing: 'shared' },
  ])
  const bounce = (session: number, out: string): string =>
    takeloftCommand(`bounce --catalogue ${catalogue} --session ${session} --out ${folder}/${out}`)
  const one = ffmpegCommand(`${MATERIAL}/speech-${LAYER_SECONDS}s-{}.wav`, `${folder}/ffmpeg-{}.wav`)
  const commands = {
    'takeloft, 3 group stems, own chains': bounce(own, 'own'),
    ffmpeg: `seq -f %02g 1 ${LAYERS} | xargs -P 2 -I{} ${one}`,
    'takeloft, 3 group stems, shared chain': bounce(shared, 'shared'),
    'takeloft, 3 group and 12 layer stems, own chains': `${bounce(own, 'layers')} --layers`,
  }
  const contestants = Object.entries(commands).map(
    ([name, command]): Contestant => ({ name, run: () => timeCommand(command) }),
  )
  const costs = await holdContest(contestants, rounds, say)
  const samples = LAYERS * LAYER_SECONDS * RATE_HZ
  return {
    id: 'S2',
    title: `bounce of ${LAYERS} layers of ${LAYER_SECONDS} s on two cores`,
    commands,
    notes: [
      'Aim: the wall ratio of takeloft at most 0.50.',
      'ffmpeg runs the chain on 12 mono files and mixes nothing. Takeloft mixes, and runs the chain on 6 channels',
      '(3 stereo groups); on 8 with a shared chain (the stack leads); on 18 with layer stems. It also checks the',
      'hash of every take and writes hashes, loudness and peaks of every stem. A sample is one of a layer.',
    ],
    tables: [tableOfContest('ratios against ffmpeg', contestants, costs, 1, samples)],
  }
}
