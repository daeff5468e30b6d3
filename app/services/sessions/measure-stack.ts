// Measures the processed stack of a session with its saved chains.

import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import { catalogueRoot, missingFailure, readableTakes } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { planSession, readSessionContents } from './plan-session.ts'
import { presentLayers } from './present-layers.ts'

export function measureStackHandlers(workplace: Workplace): Pick<Handlers, 'measureStack'> {
  const { catalogue, fitter, pool } = workplace
  return {
    async measureStack({ sessionId }, { signal, report }) {
      const all = readSessionContents(catalogue, sessionId)
      const root = catalogueRoot(catalogue.path)
      const { layers, missing } = presentLayers(root, all.takes, all.layers)
      const contents = { ...all, layers: [...layers] }
      const { plan } = planSession(catalogue, fitter, contents)
      const used = new Set(plan.layers.map((layer) => layer.take.sha256))
      if (used.size === 0 && missing.length > 0) {
        throw missingFailure(root, missing, 'There is nothing to measure')
      }
      if (used.size === 0) {
        throw new Failure(
          'empty',
          'There is nothing to measure yet: place a take in the stack, or unmute a layer.',
        )
      }
      const takes = contents.takes.filter((take) => used.has(take.sha256))
      const takePaths = await readableTakes(workplace, root, takes, signal)
      const measurement = await pool.run(
        'measureStack',
        { plan, takePaths },
        { signal, onProgress: (fraction) => report(fraction, 'Measuring the stack') },
      )
      return { ...measurement, missing: missing.map(({ name }) => name) }
    },
  }
}
