// Handlers for mics and their curves: storing, exporting, subtracting, correcting, and carrying chains
// from one mic to another.

import type { CurveRecord } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import { subtractCurves } from '../../dsp/correction/curve.ts'
import type { Workplace } from '../workplace.ts'
import { planCarry } from './carry.ts'
import { curveFileName, readCurveText, writeCurveText } from './curve-text.ts'
import { measureCorrection } from './measure-correction.ts'
import { proposeProximity } from './propose-proximity.ts'

type MicActs =
  | 'listMics'
  | 'createMic'
  | 'updateMic'
  | 'removeMic'
  | 'listCurves'
  | 'importCurve'
  | 'createCurve'
  | 'updateCurve'
  | 'removeCurve'
  | 'exportCurve'
  | 'subtractCurves'
  | 'fitMicCorrection'
  | 'proposeProximity'
  | 'planCarry'

export function micHandlers({ catalogue, fitter, emit, now }: Workplace): Pick<Handlers, MicActs> {
  const changed = <T>(result: T): T => {
    emit('catalogueChanged', { subjects: ['mics'] })
    return result
  }
  const micName = ({ micId, name }: CurveRecord): string =>
    micId === null ? name : catalogue.mics.get(micId).name
  return {
    listMics: async () => catalogue.mics.list(),
    createMic: async (fields) => changed(catalogue.mics.insert(fields, now())),
    updateMic: async ({ id, changes }) => changed(catalogue.mics.update(id, changes)),
    async removeMic({ id }) {
      const mic = catalogue.mics.get(id)
      catalogue.mics.remove(id)
      return changed(mic)
    },

    listCurves: async ({ micId }) => catalogue.curves.list(micId),
    async importCurve({ text, ...fields }) {
      const { points, remarks } = readCurveText(text, fields.name)
      const curve = catalogue.curves.insert({ ...fields, points, picture: null }, now())
      return changed({ curve, remarks: [...remarks] })
    },
    createCurve: async (fields) => changed(catalogue.curves.insert(fields, now())),
    updateCurve: async ({ id, changes }) => changed(catalogue.curves.update(id, changes)),
    async removeCurve({ id }) {
      const curve = catalogue.curves.get(id)
      catalogue.curves.remove(id)
      return changed(curve)
    },
    async exportCurve({ id }) {
      const curve = catalogue.curves.get(id)
      const mic = curve.micId === null ? null : catalogue.mics.get(curve.micId).name
      return { fileName: curveFileName(mic, curve.name), text: writeCurveText(curve, mic) }
    },
    async subtractCurves({ curveId, subtractedCurveId }) {
      const curve = catalogue.curves.get(curveId)
      const less = catalogue.curves.get(subtractedCurveId)
      const { frequenciesHz, levelsDb } = subtractCurves(curve.points, less.points)
      if (frequenciesHz.length < 3) {
        throw new Failure(
          'invalid-input',
          `${curve.name} and ${less.name} have no range of frequencies in common, so they have no difference; choose curves that overlap.`,
          { curveId, subtractedCurveId },
        )
      }
      return { points: { frequenciesHz: [...frequenciesHz], levelsDb: [...levelsDb] } }
    },

    fitMicCorrection: async ({ curveId, aims, sampleRateHz }) =>
      measureCorrection(catalogue.curves.get(curveId), aims, sampleRateHz, fitter),
    proposeProximity: async (request) => proposeProximity(request),
    async planCarry({ chainVersionId, fromCurveId, toCurveId, aim, limits, sampleRateHz }) {
      const from = catalogue.curves.get(fromCurveId)
      const to = catalogue.curves.get(toCurveId)
      return planCarry(
        {
          stages: catalogue.chains.version(chainVersionId).stages,
          from: { name: micName(from), points: from.points },
          to: { name: micName(to), points: to.points },
          aim,
          limits,
          sampleRateHz,
        },
        fitter,
      )
    },
  }
}
