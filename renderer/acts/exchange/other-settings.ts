// Taking the settings of a session from another computer, which undo takes back.

import type { FormerSettings, OtherSettings } from '../../../app/contract/exchange/other-settings.ts'
import { client } from '../../state/connection.ts'
import { tryToPerform } from '../undoable.ts'

/** @throws Failure as takeOtherSettings */
export function takeOtherSettings(sessionId: number, { at, machine }: OtherSettings): Promise<void> {
  let former: FormerSettings | null = null
  return tryToPerform({
    label: 'take the other computer’s settings',
    async redo() {
      former = await client.takeOtherSettings({ sessionId, at, machine })
    },
    async undo() {
      if (former !== null) await client.returnToSettings({ sessionId, former })
    },
  })
}
