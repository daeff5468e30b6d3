// Settings of a session that another computer has set otherwise, and what has to be known to go back from them.

import { z } from 'zod'
import { Id } from '../entities.ts'
import { listOf } from '../text/bounded.ts'
import { MAX_PARENTS } from './limits.ts'

/** When and on which computer settings were made; the computer is empty for those of the session's making. */
const SettingsStamp = z.strictObject({ at: z.iso.datetime(), machine: z.string().max(36) })

/** Settings that are not valid here. */
export const OtherSettings = SettingsStamp.extend({
  /** Name of the computer; empty where it is not known. */
  computer: z.string(),
  /** What the settings here have that those do not, in a few words. */
  here: z.string(),
  /** What those have that the settings here do not. */
  there: z.string(),
})
export type OtherSettings = z.infer<typeof OtherSettings>

export const ChosenSettings = SettingsStamp.extend({ sessionId: Id })

/** The settings that were valid before, for the way back. */
export const FormerSettings = SettingsStamp.extend({
  parents: listOf(SettingsStamp, MAX_PARENTS),
  /** The last change that was made on this computer; null if there was none. */
  own: SettingsStamp.nullable(),
})
export type FormerSettings = z.infer<typeof FormerSettings>
