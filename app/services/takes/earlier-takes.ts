// Finds takes of earlier sessions anywhere in the catalogue, and adds them to a session.

import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import type { Workplace } from '../workplace.ts'
import { refuseUnconvertible } from './session-rate.ts'

type EarlierTakeActs = 'findTakes' | 'addTakeToSession' | 'takeOutOfSession'

export function earlierTakeHandlers({ catalogue, emit }: Workplace): Pick<Handlers, EarlierTakeActs> {
  const takesChanged = (): void => emit('catalogueChanged', { subjects: ['takes'] })
  return {
    findTakes: async (request) => catalogue.foundTakes.list(request),

    async addTakeToSession({ sessionId, takeId }) {
      const take = catalogue.takes.get(takeId)
      const session = catalogue.sessions.get(sessionId)
      refuseUnconvertible(take.name, take.sampleRateHz, session.sampleRateHz)
      catalogue.takes.linkToSession(sessionId, takeId)
      takesChanged()
      return take
    },

    async takeOutOfSession({ sessionId, takeId }) {
      const layer = catalogue.layers.listOfSession(sessionId).find((one) => one.takeId === takeId)
      if (layer !== undefined) {
        throw new Failure(
          'conflict',
          `The layer ${layer.name} of this session uses the take; remove the layer first.`,
          { sessionId, takeId, layerId: layer.id },
        )
      }
      catalogue.takes.unlinkFromSession(sessionId, takeId)
      takesChanged()
      return {}
    },
  }
}
