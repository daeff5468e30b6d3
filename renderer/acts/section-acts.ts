// Undoable acts on sections. A change is shown at once and reverted if the services refuse it.

import type { SessionContents } from '../../app/contract/entities.ts'
import type { Section, SectionFields } from '../../app/contract/sections/section.ts'
import { countOf } from '../../app/words/numbers.ts'
import { freshMarkers } from '../formats/sections/section-lines.ts'
import { client } from '../state/connection.ts'
import { attempt, remark } from '../state/notices.ts'
import { sessionContentsQuery } from '../state/queries.ts'
import { queryClient } from '../state/query-client.ts'
import { changing, creating, perform } from './undoable.ts'

const keyOf = (sessionId: number) => sessionContentsQuery(sessionId).queryKey

const readAgain = (sessionId: number): Promise<void> =>
  queryClient.invalidateQueries({ queryKey: keyOf(sessionId) })

const inOrder = (sections: Section[]): Section[] =>
  sections.toSorted((a, b) => a.startSamples - b.startSamples || b.lengthSamples - a.lengthSamples)

function show(section: Section, fields: Partial<SectionFields>): void {
  const queryKey = keyOf(section.sessionId)
  // The response to a running query would not contain this change; the catalogue's event starts a new one.
  void queryClient.cancelQueries({ queryKey })
  queryClient.setQueryData<SessionContents>(queryKey, (now) =>
    now === undefined
      ? undefined
      : {
          ...now,
          sections: inOrder(now.sections.map((one) => (one.id === section.id ? { ...one, ...fields } : one))),
        },
  )
}

/** @returns the section, null where it was refused; a failure has become a notice, as in all acts here */
export async function addSection(sessionId: number, fields: SectionFields): Promise<Section | null> {
  const section = creating<Section>(
    (made) => client.addSection(made ?? { sessionId, ...fields }),
    ({ id }) => client.removeSection({ id }),
  )
  const isDone = await perform({ label: `add ${fields.name}`, ...section })
  return isDone ? section.made() : null
}

/**
 * Takes the markers of the layers' files as sections, in one undo step; those that are there already are left out.
 */
export async function addFileMarkers(sessionId: number, present: readonly Section[]): Promise<void> {
  const listed = await attempt('Could not read the markers of the files', () =>
    client.listFileMarkers({ sessionId }),
  )
  if (listed === undefined) return
  const fresh = freshMarkers(listed, present)
  if (fresh.length === 0) {
    const why = listed.length === 0 ? 'have no markers' : 'have no other markers than those that are here'
    remark(`The files of the layers ${why}`)
    return
  }
  let made: Section[] = []
  const remove = async (): Promise<void> => {
    for (const { id } of made) await client.removeSection({ id })
  }
  const isDone = await perform({
    label: `add ${countOf(fresh.length, 'marker')} of files`,
    redo: async () => {
      const wanted =
        made.length > 0 ? made : fresh.map(({ takeName: _, ...fields }) => ({ sessionId, ...fields }))
      made = []
      try {
        for (const fields of wanted) made.push(await client.addSection(fields))
      } catch (error) {
        await remove()
        throw error
      }
    },
    undo: remove,
  })
  const names = [...new Set(fresh.map(({ takeName }) => takeName))]
  if (isDone) remark(`${countOf(fresh.length, 'marker')} added as sections`, `From ${names.join(', ')}.`)
}

/**
 * Changes of the same fields in one gesture are merged into one undo step.
 * @param what the change in words, as in 'end'
 */
export function changeSection(
  section: Section,
  changes: Partial<SectionFields>,
  what: string,
): Promise<boolean> {
  const set = (fields: Partial<SectionFields>): Promise<unknown> => {
    show(section, fields)
    return client.updateSection({ id: section.id, changes: fields })
  }
  // Shown before the act runs, because earlier acts in the history may delay it.
  show(section, changes)
  return perform(
    {
      label: `${what} of ${section.name}`,
      mergeKey: `section ${section.id} ${Object.keys(changes).join()}`,
      ...changing(section, changes, set),
    },
    () => readAgain(section.sessionId),
  )
}

/** Removes a section; undo restores it with the same id. */
export const removeSection = (section: Section): Promise<boolean> =>
  perform({
    label: `remove ${section.name}`,
    redo: () => client.removeSection({ id: section.id }),
    undo: () => client.addSection(section),
  })
