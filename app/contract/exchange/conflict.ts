// Entries of a history by kind and name, and where two histories differ.

import { z } from 'zod'

/** Of what kind an entry of a history is. */
export const HistoryKind = z.enum([
  'artist',
  'voice',
  'mic',
  'curve',
  'song',
  'chain',
  'version',
  'take',
  'session',
  'bounce',
  'delivery',
  'note',
])
export type HistoryKind = z.infer<typeof HistoryKind>

/** An entry that is new here, or whose values are now those of another computer. */
export const HistoryItem = z.object({ kind: HistoryKind, name: z.string() })
export type HistoryItem = z.infer<typeof HistoryItem>

/**
 * Where both sides differ; both are kept.
 * - `two-ways`: a chain was edited on both; `details` are its newest versions
 * - `value`: names or notes were changed on both; `details` are the valid and the kept one
 * - `settings`: a session was set differently on two computers; `details` are the valid and the kept settings
 * - `same-name`: two of one name that are not known to be the same
 * - `waits`: a version whose parents, `details`, are missing
 * - `refused`: a version whose content does not have its hash
 * - `session-waits`: a session that is set to versions, `details`, which are missing or refused; it is not taken in
 * - `settings-wait`: the same for the settings of a session that is here, which stay as they are
 */
export const HistoryConflict = HistoryItem.extend({
  conflict: z.enum([
    'two-ways',
    'value',
    'settings',
    'same-name',
    'waits',
    'refused',
    'session-waits',
    'settings-wait',
  ]),
  details: z.array(z.string()),
})
export type HistoryConflict = z.infer<typeof HistoryConflict>
