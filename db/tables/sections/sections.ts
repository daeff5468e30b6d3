// Sections: named ranges of a session's song, and places in it.

import type { Database } from 'better-sqlite3'
import { Failure } from '../../../app/contract/failure.ts'
import { MAX_SECTIONS, type Section } from '../../../app/contract/sections/section.ts'
import { type Changes, changed } from '../changes.ts'
import { found } from '../found.ts'
import { insertedId } from '../inserted-id.ts'

/** With its former id, to undo a removal. */
type NewSection = Omit<Section, 'id'> & { readonly id?: number | undefined }
export type SectionQueries = ReturnType<typeof sectionQueries>

const SELECT = `
  SELECT id, session_id AS sessionId, name, start_samples AS startSamples, length_samples AS lengthSamples, note
  FROM sections`

export function sectionQueries(db: Database) {
  // The longer of two that start together comes first, as a verse before its first line.
  const ofSession = db.prepare<[number], Section>(
    `${SELECT} WHERE session_id = ? ORDER BY start_samples, length_samples DESC, id`,
  )
  const one = db.prepare<[number], Section>(`${SELECT} WHERE id = ?`)
  const hasSession = db.prepare<[number]>('SELECT 1 FROM sessions WHERE id = ?')
  const count = db.prepare<[number], number>('SELECT count(*) FROM sections WHERE session_id = ?').pluck()
  const add = db.prepare<[Omit<Section, 'id'> & { id: number | null }]>(
    `INSERT INTO sections (id, session_id, name, start_samples, length_samples, note)
       VALUES (@id, @sessionId, @name, @startSamples, @lengthSamples, @note)`,
  )
  const change = db.prepare<[Section]>(
    `UPDATE sections SET name = @name, start_samples = @startSamples, length_samples = @lengthSamples, note = @note
     WHERE id = @id`,
  )
  const drop = db.prepare<[number]>('DELETE FROM sections WHERE id = ?')

  const get = (id: number): Section => found(one.get(id), 'section', id)

  const insert = db.transaction((fields: NewSection): Section => {
    found(hasSession.get(fields.sessionId), 'session', fields.sessionId)
    if (count.get(fields.sessionId)! >= MAX_SECTIONS) {
      throw new Failure(
        'conflict',
        `The session has ${MAX_SECTIONS} sections and takes no more; remove those that are not used.`,
        { sessionId: fields.sessionId },
      )
    }
    return get(insertedId(add, { ...fields, id: fields.id ?? null }))
  })
  const update = db.transaction(
    (id: number, changes: Changes<Omit<Section, 'id' | 'sessionId'>>): Section => {
      change.run(changed(get(id), changes))
      return get(id)
    },
  )

  return {
    /** In the order of their starts. */
    listOfSession: (sessionId: number): Section[] => ofSession.all(sessionId),
    get,
    /** @throws Failure `not-found` without the session, `conflict` when the id is taken or there are MAX_SECTIONS */
    insert: (fields: NewSection): Section => insert.immediate(fields),
    update: (id: number, changes: Changes<Omit<Section, 'id' | 'sessionId'>>): Section =>
      update.immediate(id, changes),
    remove(id: number): void {
      if (drop.run(id).changes === 0) found(undefined, 'section', id)
    },
  }
}
