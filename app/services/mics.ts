// Microphones and their curves.

import type { Handlers } from '../contract/commands.ts'
import { readCurveText } from './curve-text.ts'
import type { Workplace } from './workplace.ts'

export function micHandlers({
  catalogue,
  emit,
  now,
}: Workplace): Pick<Handlers, 'listMics' | 'createMic' | 'listCurves' | 'importCurve'> {
  return {
    listMics: async () => catalogue.mics.list(),
    async createMic(fields) {
      const mic = catalogue.mics.insert(fields, now())
      emit('catalogueChanged', { subjects: ['mics'] })
      return mic
    },
    listCurves: async ({ micId }) => catalogue.curves.list(micId),
    async importCurve({ text, ...fields }) {
      const { points, remarks } = readCurveText(text, fields.name)
      const curve = catalogue.curves.insert({ ...fields, points }, now())
      emit('catalogueChanged', { subjects: ['mics'] })
      return { curve, remarks: [...remarks] }
    },
  }
}
