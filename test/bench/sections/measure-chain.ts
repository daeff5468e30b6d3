// How long the river of a whole chain takes on a four-minute take: on the first look, when every joint is measured,
// and after a change to a stage near the end, when the joints before it are kept.

import type { CallContext } from '../../../app/contract/wire/commands.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { WHOLE_CHAIN } from '../like-chain.ts'
import { speechTake } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, inRoot } from '../places.ts'
import type { Cell, Section } from '../report.ts'
import { buildSessions } from '../stack-session.ts'
import { spreadOf } from '../statistics.ts'

const SECONDS = 240
const AIM_S = 3
const context: CallContext = { signal: new AbortController().signal, report: () => {} }

export async function measureChain(
  { rounds }: BenchOptions,
  say: (message: string) => void,
): Promise<Section> {
  const folder = freshFolder('joints')
  const catalogue = `${folder}/catalogue.sqlite`
  say('placing the take')
  const [sessionId] = await buildSessions(catalogue, [
    {
      title: 'One take',
      layers: [{ take: speechTake(SECONDS, 0), group: 'Lead' }],
      stages: WHOLE_CHAIN,
      sharing: 'own',
    },
  ])
  const firsts: number[] = []
  const changes: number[] = []
  // The first round starts the threads and is not counted.
  for (let round = 0; round <= rounds; round++) {
    say(`round ${round} of ${rounds}`)
    const workplace = openWorkplace(inRoot(catalogue))
    try {
      const handlers = createHandlers(workplace)
      const { takes } = await handlers.openSession({ id: sessionId }, context)
      const measure = async (thresholdDbfs: number): Promise<number> => {
        const stages = WHOLE_CHAIN.map((stage) =>
          stage.kind === 'opto' ? { ...stage, settings: { ...stage.settings, thresholdDbfs } } : stage,
        )
        const start = performance.now()
        await handlers.measureChain({ takeId: takes[0].id, stages }, context)
        return (performance.now() - start) / 1000
      }
      const first = await measure(-24)
      // The second keeps the joint before the changed stage on its way, the third starts from it.
      await measure(-22)
      const change = await measure(-20)
      if (round === 0) continue
      firsts.push(first)
      changes.push(change)
    } finally {
      await workplace.close()
    }
  }
  const row = (what: string, seconds: readonly number[]): Record<string, Cell> => {
    const { median, least, most } = spreadOf(seconds)
    return { what, median, least, most }
  }
  return {
    id: 'joints',
    title: `the joints of a chain with all ${WHOLE_CHAIN.length} stages on a take of ${SECONDS} s`,
    commands: {},
    notes: [
      `Aim: ${AIM_S} s. It does not depend on the layers of the session, since one take is measured at a time.`,
      'Two threads in a row: the first passes the sound of its last joint on to the second.',
    ],
    tables: [
      {
        title: 'seconds until the figures are there',
        columns: [
          { key: 'what', head: 'measured' },
          { key: 'median', head: 'median s', digits: 2 },
          { key: 'least', head: 'least', digits: 2 },
          { key: 'most', head: 'most', digits: 2 },
        ],
        rows: [row('every joint', firsts), row('from the opto on', changes)],
      },
    ],
  }
}
