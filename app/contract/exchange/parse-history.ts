// A parsed history.json, checked against the schema and the version of its format.

import { z } from 'zod'
import { sentenceOf } from '../chain-document.ts'
import { Failure } from '../failure.ts'
import { CurveContent, HISTORY_FORMAT, HISTORY_FORMAT_V, History } from './history.ts'

/**
 * A parsed JSON value as a history.
 * @param where what to call the source in a failure
 * @throws Failure `newer-version` or `invalid-input`
 */
export function parseHistory(value: unknown, where: string): History {
  const head = z.object({ format: z.literal(HISTORY_FORMAT), v: z.int().min(1) }).safeParse(value)
  if (!head.success) {
    throw new Failure(
      'invalid-input',
      `${where} is not a history that Takeloft exported: ${sentenceOf(head.error)}.`,
      { where },
    )
  }
  // Checked first, because a newer version may have a different structure.
  if (head.data.v > HISTORY_FORMAT_V) {
    throw new Failure(
      'newer-version',
      `${where} is a history of version ${head.data.v}, and this Takeloft knows up to ${HISTORY_FORMAT_V}; update Takeloft to merge it. Nothing was taken from it.`,
      { where, version: head.data.v },
    )
  }
  const history = History.safeParse(value)
  const fault = history.success ? whatIsTwice(history.data) : sentenceOf(history.error)
  if (history.success && fault === null) return history.data
  throw new Failure('invalid-input', `${where} cannot be used as a history: ${fault}.`, { where })
}

/** What is in a history twice by its identity, in words; only one of the two could be taken in. Null if nothing is. */
function whatIsTwice(history: History): string | null {
  const { artists, voices, mics, songs, chains, sessions } = history
  for (const [name, entities] of Object.entries({ artists, voices, mics, songs, chains, sessions })) {
    const id = twiceIn(entities.map((entity) => entity.id))
    if (id !== null) return `two of its ${name} have the UUID ${id}`
  }
  const take = twiceIn(history.takes.map(({ sha256 }) => sha256))
  if (take !== null) return `two of its takes have the hash ${take}`
  for (const { id: session, settings } of sessions) {
    for (const { groups } of settings.map(({ values }) => values)) {
      const id =
        twiceIn(groups.map((group) => group.id)) ??
        twiceIn(groups.flatMap(({ layers }) => layers.map((layer) => layer.id)))
      if (id !== null) return `two groups or layers of the session ${session} have the UUID ${id}`
    }
  }
  return null
}

function twiceIn(keys: readonly string[]): string | null {
  const seen = new Set<string>()
  for (const key of keys) {
    if (seen.has(key)) return key
    seen.add(key)
  }
  return null
}

/** The content of a curve. @throws Failure `invalid-input` */
export function parseCurveContent(value: unknown, where: string): CurveContent {
  const content = CurveContent.safeParse(value)
  if (content.success) return content.data
  throw new Failure('invalid-input', `${where} cannot be used as a curve: ${sentenceOf(content.error)}.`, {
    where,
  })
}
