// Takes the settings that another computer has of a session, where both had set it. They were kept whole when they came.

import type { SessionSettings } from '../../contract/exchange/history.ts'
import type { FormerSettings, OtherSettings } from '../../contract/exchange/other-settings.ts'
import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import { isSame, isSameStamp, Lineage } from '../../history/lineage.ts'
import type { Stamp, State } from '../../history/states.ts'
import type { Workplace } from '../workplace.ts'
import { knownStates } from './known-states.ts'
import { writeSettings } from './merge-sessions.ts'
import { differingSettings, sessionSettings } from './session-settings.ts'

type OtherSettingsActs = 'listOtherSettings' | 'takeOtherSettings' | 'returnToSettings'

const stampOf = ({ at, machine }: Stamp): Stamp => ({ at, machine })

export function otherSettingsHandlers({
  catalogue,
  now,
  emit,
}: Workplace): Pick<Handlers, OtherSettingsActs> {
  const { identities, historyRows } = catalogue
  const knownOf = (sessionId: number) =>
    knownStates<SessionSettings>(
      identities,
      'settings',
      sessionId,
      historyRows.madeAt('sessions', sessionId),
      sessionSettings(catalogue, sessionId),
    )

  /** @throws Failure `not-found` for settings that are not kept here */
  const keptSettings = (sessionId: number, isWanted: (state: State<SessionSettings>) => boolean) => {
    const state = knownOf(sessionId).known.find(isWanted)
    if (state !== undefined) return state
    const { songTitle } = catalogue.sessions.get(sessionId)
    throw new Failure(
      'not-found',
      `These settings of ${songTitle} are not kept in the catalogue; import the voice from the other computer again.`,
      { sessionId },
    )
  }

  const changed = (): void => emit('catalogueChanged', { subjects: ['stack', 'sessions', 'chains'] })

  return {
    async listOtherSettings({ sessionId }) {
      const { local, known } = knownOf(sessionId)
      const lineage = new Lineage(known)
      const names = new Map(identities.machines().map(({ id, name }) => [id, name]))
      return lineage.heads
        .filter((head) => !isSame(head.values, local.values) && !lineage.holds(local, head))
        .map(
          (head): OtherSettings => ({
            ...stampOf(head),
            computer: names.get(head.machine) ?? '',
            here: differingSettings(local.values, head.values),
            there: differingSettings(head.values, local.values),
          }),
        )
    },

    // The settings are then made from both, so that no computer is told of the conflict again.
    async takeOtherSettings({ sessionId, ...chosen }) {
      const former = catalogue.transaction((): FormerSettings => {
        const { local } = knownOf(sessionId)
        const other = keptSettings(sessionId, (state) => isSameStamp(state, chosen))
        const own = identities.ownChangeOf('settings', sessionId)
        for (const state of [local, other]) identities.keep('settings', sessionId, state, now())
        writeSettings({ catalogue }, sessionId, other.values)
        const made = identities.stampOf('settings', sessionId)
        if (made === undefined || isSameStamp(made, local))
          throw new Error(`the settings of session ${sessionId} were not dated`)
        const parents = [local, other].map(stampOf)
        identities.setStamp('settings', sessionId, { ...made, parents }, made)
        return { ...stampOf(local), parents: local.parents.map(stampOf), own: own ?? null }
      })
      changed()
      return former
    },

    async returnToSettings({ sessionId, former: { own, ...former } }) {
      catalogue.transaction(() => {
        const before = keptSettings(
          sessionId,
          (state) => isSameStamp(state, former) && isSame(state.parents, former.parents),
        )
        writeSettings({ catalogue }, sessionId, before.values)
        identities.setStamp('settings', sessionId, before, own ?? undefined)
      })
      changed()
      return {}
    },
  }
}
