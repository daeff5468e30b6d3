// How long the check of a stack takes: six layers of a minute of speech behind the whole chain.

import type { CallContext } from '../../../app/contract/wire/commands.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { WHOLE_CHAIN } from '../like-chain.ts'
import { speechTake } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, inRoot } from '../places.ts'
import type { Section } from '../report.ts'
import { buildSessions } from '../stack-session.ts'
import { spreadOf } from '../statistics.ts'

const SECONDS = 60
const LAYERS = 6
const context: CallContext = { signal: new AbortController().signal, report: () => {} }

export async function checkStack({ rounds }: BenchOptions, say: (message: string) => void): Promise<Section> {
  const folder = freshFolder('stack-check')
  const catalogue = `${folder}/catalogue.sqlite`
  say('placing the layers')
  const [sessionId] = await buildSessions(catalogue, [
    {
      title: 'Six layers',
      layers: Array.from({ length: LAYERS }, (_, k) => ({
        take: speechTake(SECONDS, k),
        group: k === 0 ? 'Lead' : 'Doubles',
      })),
      stages: WHOLE_CHAIN,
      sharing: 'own',
    },
  ])
  const seconds: number[] = []
  // The first round starts the threads and is not counted.
  for (let round = 0; round <= rounds; round++) {
    say(`round ${round} of ${rounds}`)
    // Opened anew, so that nothing is kept from the round before.
    const workplace = openWorkplace(inRoot(catalogue))
    try {
      const start = performance.now()
      await createHandlers(workplace).checkStack({ sessionId, range: { kind: 'song' } }, context)
      if (round > 0) seconds.push((performance.now() - start) / 1000)
    } finally {
      await workplace.close()
    }
  }
  const { median, least, most } = spreadOf(seconds)
  return {
    id: 'stack-check',
    title: `the check of a stack of ${LAYERS} layers of ${SECONDS} s behind all ${WHOLE_CHAIN.length} stages`,
    commands: {},
    notes: [
      'A thread and, where a processor is idle, a second one for a chain. No aim: it runs in the background and is kept.',
    ],
    tables: [
      {
        title: 'seconds until the findings are there',
        columns: [
          { key: 'what', head: 'measured' },
          { key: 'median', head: 'median s', digits: 2 },
          { key: 'least', head: 'least', digits: 2 },
          { key: 'most', head: 'most', digits: 2 },
        ],
        rows: [{ what: 'the song', median, least, most }],
      },
    ],
  }
}
