// The history: bounces and all other recorded acts, newest first.

import { resolve } from 'node:path'
import type { BounceRecord } from '../../contract/entities.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import { verifyManifest } from '../deliveries/verify.ts'
import { measurePlan } from '../sessions/measure-stack.ts'
import { catalogueRoot, locateTakes, missingFailure, placesIn, readableTakes } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { bounceSession } from './bounce.ts'
import { readManifest } from './verify.ts'

type LedgerActs =
  | 'bounceSession'
  | 'verifyBounce'
  | 'listBounces'
  | 'readBounceLevels'
  | 'measureBounce'
  | 'listLedger'

export function ledgerHandlers(workplace: Workplace): Pick<Handlers, LedgerActs> {
  const { catalogue, pool, verifiedFiles } = workplace
  const root = catalogueRoot(catalogue.path)
  const pathOf = ({ manifestPath }: BounceRecord): string => resolve(root, manifestPath)
  const placesOf = placesIn(catalogue)
  return {
    bounceSession: (input, context) => bounceSession(workplace, input, context),
    verifyBounce: ({ manifestPath }, context) => verifyManifest(pool, manifestPath, context, placesOf),
    listBounces: async (request) =>
      catalogue.bounces.list(request).map((bounce) => ({ ...bounce, manifestPath: pathOf(bounce) })),
    readBounceLevels: async ({ bounceId }) =>
      readManifest(pathOf(catalogue.bounces.get(bounceId))).stems.map(
        ({ kind, name, file, integratedLufs, loudnessRangeLu, truePeakDbtp }) => ({
          ...{ kind, name, file, integratedLufs, loudnessRangeLu, truePeakDbtp },
        }),
      ),
    async measureBounce({ bounceId }, { signal, report }) {
      const { plan, span, takes } = readManifest(pathOf(catalogue.bounces.get(bounceId)))
      const known = takes.flatMap(({ sha256 }) => catalogue.takes.findBySha256(sha256) ?? [])
      const { found, absent } = await locateTakes(verifiedFiles, root, known)
      if (absent.length > 0) throw missingFailure(absent, 'The bounce was not measured')
      const takePaths = await readableTakes(workplace, found, signal)
      return measurePlan(workplace, plan, span, takePaths, {
        signal,
        onProgress: (fraction) => report(fraction, 'Measuring the bounced stack'),
      })
    },
    listLedger: async (request) =>
      catalogue.ledger.list(request).map((entry) => {
        if (entry.kind === 'bounced') return { ...entry, manifestPath: resolve(root, entry.manifestPath) }
        return entry.kind === 'delivered' ? { ...entry, folder: resolve(root, entry.folder) } : entry
      }),
  }
}
