// Finds takes of earlier sessions anywhere in the catalogue, and adds them to a session.

import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import type { Workplace } from '../workplace.ts'
import { refuseUnconvertible } from './session-rate.ts'

type EarlierTakeActs = 'findTakes' | 'addTakesToSession' | 'removeTakesFromSession'

export function earlierTakeHandlers({ catalogue, emit }: Workplace): Pick<Handlers, EarlierTakeActs> {
  const takesChanged = (): void => emit('catalogueChanged', { subjects: ['takes'] })
  return {
    findTakes: async (request) => catalogue.foundTakes.list(request),

    async addTakesToSession({ sessionId, takeIds }) {
      const session = catalogue.sessions.get(sessionId)
      const takes = catalogue.transaction(() =>
        takeIds.map((takeId) => {
          const take = catalogue.takes.get(takeId)
          refuseUnconvertible(take.name, take.sampleRateHz, session.sampleRateHz)
          catalogue.takes.linkToSession(sessionId, takeId)
          return take
        }),
      )
      takesChanged()
      return takes
    },

    async removeTakesFromSession({ sessionId, takeIds }) {
      const leaving = new Set(takeIds)
      const layer = catalogue.layers.listOfSession(sessionId).find((one) => leaving.has(one.takeId))
      if (layer !== undefined) {
        throw new Failure(
          'conflict',
          `The layer ${layer.name} of this session uses the take; remove the layer first.`,
          { sessionId, takeId: layer.takeId, layerId: layer.id },
        )
      }
      catalogue.transaction(() => {
        for (const takeId of leaving) catalogue.takes.unlinkFromSession(sessionId, takeId)
      })
      takesChanged()
      return {}
    },
  }
}
