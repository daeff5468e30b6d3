// How the cost of one more take grows with the takes that its session has: each is compared with all
// of them for the same performance.

import type { CallContext, Handlers } from '../../../app/contract/wire/commands.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace, type Workplace } from '../../../app/services/workplace.ts'
import { type Contestant, type Cost, holdContest, tableOfContest } from '../contest.ts'
import { RATE_HZ, shortVoiceTakes } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, inRoot } from '../places.ts'
import type { Section } from '../report.ts'

const SIZES = [20, 300] as const
const TAKE_SECONDS = 2
/** Taken in one after another, since one alone is over in a moment. */
const TAKES_PER_RUN = 5

const context: CallContext = { signal: new AbortController().signal, report: () => {} }

export async function importGrowth(
  { rounds }: BenchOptions,
  say: (message: string) => void,
): Promise<Section> {
  const folder = freshFolder('import')
  const runs = SIZES.length * (rounds + 1)
  const perRun = TAKES_PER_RUN + 1
  say('the voices, once')
  const takes = shortVoiceTakes(SIZES[0] + SIZES[1] + runs * perRun, TAKE_SECONDS).map(inRoot)
  const next = (count: number): string[] => takes.splice(0, count)

  const open = (): { workplace: Workplace; acts: Handlers } => {
    const workplace = openWorkplace(inRoot(`${folder}/catalogue.sqlite`))
    return { workplace, acts: createHandlers(workplace) }
  }
  let { workplace, acts } = open()
  const takeIn = async (sessionId: number, paths: readonly string[]): Promise<void> => {
    const files = paths.map((path) => ({ path }))
    const request = { sessionId, files, voiceId: null, micId: null, curveId: null }
    const { refused } = await acts.importTakes(request, context)
    if (refused.length > 0) throw new Error(refused[0].failure.message)
  }
  const costOf = async (sessionId: number, paths: readonly string[]): Promise<Cost> => {
    const cpu = process.cpuUsage()
    const began = performance.now()
    for (const path of paths) await takeIn(sessionId, [path])
    return { wallS: (performance.now() - began) / 1000, userS: process.cpuUsage(cpu).user / 1e6 }
  }

  try {
    const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
    const sessions: { readonly size: number; readonly id: number }[] = []
    for (const size of SIZES) {
      say(`a session of ${size} takes`)
      const session = await acts.createSession(
        {
          artistId: artist.id,
          songTitle: `${size} takes`,
          date: '2026-10-01',
          sampleRateHz: RATE_HZ,
          tempoBpm: 90,
          beatsPerBar: 4,
          notes: '',
          panLaw: 'minus-3-db',
          startOfDayS: 3600,
          chainSharing: 'own',
        },
        context,
      )
      await takeIn(session.id, next(size))
      sessions.push({ size, id: session.id })
    }
    const oneMore = sessions.map(
      ({ size, id }): Contestant => ({ name: `${size}`, run: () => costOf(id, next(TAKES_PER_RUN)) }),
    )
    const afterStart = sessions.map(
      ({ size, id }): Contestant => ({
        name: `${size}`,
        async run() {
          await workplace.close()
          ;({ workplace, acts } = open())
          return costOf(id, next(1))
        },
      }),
    )
    const tableOf = async (title: string, contestants: readonly Contestant[], count: number) =>
      tableOfContest(
        title,
        contestants,
        await holdContest(contestants, rounds, say),
        0,
        count * TAKE_SECONDS * RATE_HZ,
      )
    return {
      id: 'import',
      title: `one more take of ${TAKE_SECONDS} s into a session of ${SIZES.join(' and of ')} takes`,
      commands: {},
      notes: [
        'Aim: the same for both, a wall ratio near 1. No two takes hold the same performance. After a start the prints',
        'of the whole session are read once, and the threads come up.',
      ],
      tables: [
        await tableOf(`${TAKES_PER_RUN} takes, one after another`, oneMore, TAKES_PER_RUN),
        await tableOf('the first take after a start', afterStart, 1),
      ],
    }
  } finally {
    await workplace.close()
  }
}
