// Places takes in the stack as layers, one or many in one undo step. A role without a group gets one of its
// own, without a chain: another role's chain is the user's choice.

import type { Role, SessionContents, Take } from '../../app/contract/entities.ts'
import type { OutputOf } from '../../app/contract/wire/commands.ts'
import { countOf } from '../../app/words/numbers.ts'
import { GROUP_NAMES, guessGroup } from '../formats/role-guess.ts'
import { type StampedPlace, stampedPlace } from '../formats/time-stamp.ts'
import { client } from '../state/connection.ts'
import { noteJustMade } from '../state/just-made.ts'
import { remark } from '../state/notices.ts'
import { perform } from './undoable.ts'

/** A take with what it is placed as. */
export interface Placing {
  readonly take: Take
  readonly role: Role
  /** null places it in the group of its role, which is created if the session has none. */
  readonly groupId: number | null
  /** Follows a time stamp that is outside the song; one inside is always followed. */
  readonly followsStamp?: boolean
}

/** Where the stamp of a take places it; null without a stamp, or where it is not followed. */
function followedPlace(
  { take, followsStamp = false }: Placing,
  session: SessionContents['session'],
): StampedPlace | null {
  const place = stampedPlace(take, session)
  return place?.isReachable && (place.isInSong || followsStamp) ? place : null
}

/**
 * Places takes: at their time stamps, else at the session's start; centred, at 0 dB.
 * @param startOfDayS a new start of the session, from which the stamps are counted; part of the same step
 * @returns whether it was done; a failure has become a notice
 */
export async function placeTakes(
  { session: before, groups, layers }: SessionContents,
  placings: readonly Placing[],
  startOfDayS: number = before.startOfDayS,
): Promise<boolean> {
  const [first] = placings
  if (first === undefined) return false
  const session = { ...before, startOfDayS }
  const setStart = async (seconds: number): Promise<void> => {
    if (startOfDayS === before.startOfDayS) return
    await client.updateSession({ id: session.id, changes: { startOfDayS: seconds } })
  }
  const newRoles: Role[] = []
  const groupFor = ({ role, groupId }: Placing): { id: number } | { index: number } => {
    const id = groupId ?? guessGroup(role, groups, layers)
    if (id !== null) return { id }
    if (!newRoles.includes(role)) newRoles.push(role)
    return { index: newRoles.indexOf(role) }
  }
  const newLayers = placings.map((placing) => ({
    group: groupFor(placing),
    takeId: placing.take.id,
    name: placing.take.name,
    role: placing.role,
    offsetSamples: followedPlace(placing, session)?.offsetSamples ?? 0,
    gainDb: 0,
    pan: 0,
    muted: false,
  }))
  const newGroups = newRoles.map((role) => ({ name: GROUP_NAMES[role], chainVersionId: null, gainDb: 0 }))
  let made: OutputOf<'addLayers'> | null = null
  const isPlaced = await perform({
    label: placings.length === 1 ? `add ${first.take.name}` : `place ${countOf(placings.length, 'take')}`,
    // Redo restores groups and layers with their ids, so that later acts on them still apply.
    redo: async () => {
      await setStart(startOfDayS)
      try {
        made = await client.addLayers({
          sessionId: session.id,
          groups: made?.groups ?? newGroups,
          layers:
            made?.layers.map(({ groupId, sessionId: _, ...layer }) => ({
              ...layer,
              group: { id: groupId },
            })) ?? newLayers,
        })
      } catch (error) {
        await setStart(before.startOfDayS)
        throw error
      }
    },
    undo: async () => {
      if (made === null) return
      await client.removeLayers({
        layerIds: made.layers.map(({ id }) => id),
        groupIds: made.groups.map(({ id }) => id),
      })
      await setStart(before.startOfDayS)
    },
  })
  const placed = (made as OutputOf<'addLayers'> | null)?.layers ?? []
  if (isPlaced) noteJustMade({ kind: 'layers', ids: placed.map(({ id }) => id) })
  const atStamp = placings.filter((placing) => followedPlace(placing, session) !== null).length
  if (isPlaced && atStamp > 0) {
    remark(`${countOf(atStamp, 'take')} placed at ${atStamp === 1 ? 'its time stamp' : 'their time stamps'}`)
  }
  return isPlaced
}
