// Search over everything that the catalogue knows by words.

import type { Handlers } from '../../contract/wire/commands.ts'
import type { Workplace } from '../workplace.ts'

export const searchHandlers = ({ catalogue }: Workplace): Pick<Handlers, 'searchEverything'> => ({
  async searchEverything({ search, limit }) {
    const things = catalogue.everythingSearch.find(search, limit)
    if (!/[\p{L}\p{N}]/u.test(search)) return things
    const takes = catalogue.foundTakes.list({ search, limit, offset: 0 })
    return [
      ...things,
      ...takes.map(({ id, name, artistName, songTitle, sessionDate, micName, matched }) => ({
        kind: 'take' as const,
        id,
        name,
        artistName,
        songTitle,
        sessionDate,
        micName,
        sessionId: catalogue.takes.firstSession(id),
        excerpt: matched.map(({ text }) => text).join('; '),
      })),
    ]
  },
})
