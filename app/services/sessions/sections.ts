// Handlers for the sections of a session.

import type { Handlers } from '../../contract/wire/commands.ts'
import type { Workplace } from '../workplace.ts'

type SectionActs = 'addSection' | 'updateSection' | 'removeSection'

export function sectionHandlers({ catalogue, emit }: Workplace): Pick<Handlers, SectionActs> {
  const sectionsChanged = (): void => emit('catalogueChanged', { subjects: ['stack'] })
  return {
    async addSection(fields) {
      const section = catalogue.sections.insert(fields)
      sectionsChanged()
      return section
    },

    async updateSection({ id, changes }) {
      const section = catalogue.sections.update(id, changes)
      sectionsChanged()
      return section
    },

    async removeSection({ id }) {
      const section = catalogue.sections.get(id)
      catalogue.sections.remove(id)
      sectionsChanged()
      return section
    },
  }
}
