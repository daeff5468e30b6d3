// Handlers for sessions, and for the groups and layers of their stacks.

import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import type { Workplace } from '../workplace.ts'
import { readSessionContents } from './plan-session.ts'

/** The groups a new session starts with: the stems a mix engineer expects. */
const FIRST_GROUPS = ['Lead', 'Doubles', 'Ad-libs']

type StackActs =
  | 'listSessions'
  | 'createSession'
  | 'updateSession'
  | 'listEarlierSessions'
  | 'openSession'
  | 'createGroup'
  | 'updateGroup'
  | 'removeGroup'
  | 'addLayer'
  | 'updateLayer'
  | 'removeLayer'

export function stackHandlers({ catalogue, emit, now }: Workplace): Pick<Handlers, StackActs> {
  const stackChanged = (): void => emit('catalogueChanged', { subjects: ['stack'] })
  /** Stems are named after their groups. Case does not count, because many disks ignore it. */
  const refuseTakenName = (sessionId: number, name: string, ownId?: number): void => {
    const others = catalogue.groups.listOfSession(sessionId).filter(({ id }) => id !== ownId)
    const isTaken = (wanted: string): boolean =>
      others.some((group) => group.name.toLowerCase() === wanted.toLowerCase())
    if (!isTaken(name)) return
    let n = 2
    while (isTaken(`${name} ${n}`)) n++
    throw new Failure(
      'conflict',
      `The session already has a group “${name}”, and stems are named after their groups; choose another name, such as “${name} ${n}”.`,
      { sessionId, name },
    )
  }
  return {
    listSessions: async () => catalogue.sessions.list(),

    async createSession({ artistId, songTitle, ...fields }) {
      const session = catalogue.transaction(() => {
        catalogue.artists.get(artistId)
        const song =
          catalogue.songs.findByTitle(artistId, songTitle) ??
          catalogue.songs.insert({ artistId, title: songTitle }, now())
        const made = catalogue.sessions.insert(
          {
            ...fields,
            beatUnit: fields.beatUnit ?? 4,
            tempoChanges: fields.tempoChanges ?? [],
            songId: song.id,
            sharedChainVersionId: null,
          },
          now(),
        )
        for (const name of FIRST_GROUPS) {
          catalogue.groups.insert({ sessionId: made.id, name, chainVersionId: null, gainDb: 0 })
        }
        return made
      })
      emit('catalogueChanged', { subjects: ['sessions', 'artists', 'stack', 'ledger'] })
      return session
    },

    async updateSession({ id, changes }) {
      const session = catalogue.sessions.update(id, changes)
      emit('catalogueChanged', { subjects: ['sessions', 'stack'] })
      return session
    },

    listEarlierSessions: async ({ sessionId }) => catalogue.sessions.listEarlier(sessionId),
    openSession: async ({ id }) => readSessionContents(catalogue, id),

    async createGroup(fields) {
      const group = catalogue.transaction(() => {
        // A removed group comes back under its name, even in a session that has had two of it.
        if (fields.id === undefined) refuseTakenName(fields.sessionId, fields.name)
        return catalogue.groups.insert(fields)
      })
      stackChanged()
      return group
    },

    async updateGroup({ id, changes }) {
      const group = catalogue.transaction(() => {
        const { sessionId, name } = catalogue.groups.get(id)
        if (changes.name !== undefined && changes.name !== name) refuseTakenName(sessionId, changes.name, id)
        return catalogue.groups.update(id, changes)
      })
      stackChanged()
      return group
    },

    async removeGroup({ id }) {
      const removed = catalogue.transaction(() => {
        const group = catalogue.groups.get(id)
        const layers = catalogue.layers.listOfSession(group.sessionId).filter((layer) => layer.groupId === id)
        catalogue.groups.remove(id)
        return { group, layers }
      })
      stackChanged()
      return removed
    },

    async addLayer(fields) {
      const isInSession = catalogue.takes
        .listOfSession(fields.sessionId)
        .some((take) => take.id === fields.takeId)
      if (!isInSession) {
        throw new Failure('conflict', 'That take is not in this session; take it in under Intake first.', {
          takeId: fields.takeId,
        })
      }
      const layer = catalogue.layers.insert(fields)
      stackChanged()
      return layer
    },

    async updateLayer({ id, changes }) {
      const layer = catalogue.layers.update(id, changes)
      stackChanged()
      return layer
    },

    async removeLayer({ id }) {
      const layer = catalogue.layers.get(id)
      catalogue.layers.remove(id)
      stackChanged()
      return layer
    },
  }
}
