// Drafts of chains, kept while they are edited, so that a reload or a crash loses none.

import { randomUUID } from 'node:crypto'
import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import type { Workplace } from '../workplace.ts'

export function chainDraftHandlers({
  catalogue,
  emit,
  now,
}: Workplace): Pick<Handlers, 'listChainDrafts' | 'keepChainDraft'> {
  return {
    listChainDrafts: async ({ sessionId }) =>
      catalogue.chainDrafts.listOfSession(sessionId).map(({ baseVersionId, ...draft }) => ({
        ...draft,
        base: baseVersionId === null ? null : catalogue.chains.version(baseVersionId),
      })),

    async keepChainDraft({ sessionId, groupId, known, baseVersionId, stages, writer }) {
      const owner = { sessionId, groupId }
      const revision = stages === null ? null : randomUUID()
      catalogue.transaction(() => {
        if (catalogue.chainDrafts.revisionOf(owner) !== known) throw changedElsewhere()
        if (stages === null || revision === null) catalogue.chainDrafts.remove(owner)
        else
          catalogue.chainDrafts.put({
            ...owner,
            baseVersionId,
            stages,
            writer,
            revision,
            changedAt: now(),
          })
      })
      emit('catalogueChanged', { subjects: ['drafts'] })
      return { revision }
    },
  }
}

const changedElsewhere = (): Failure =>
  new Failure(
    'conflict',
    'Another window has changed the unsaved chain; choose in Chain which of the two to keep.',
  )
