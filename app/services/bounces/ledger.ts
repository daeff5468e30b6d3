// The history: bounces and all other recorded acts, newest first.

import { resolve } from 'node:path'
import type { Handlers } from '../../contract/wire/commands.ts'
import { catalogueRoot } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { bounceSession } from './bounce.ts'
import { verifyBounce } from './verify.ts'

export function ledgerHandlers(
  workplace: Workplace,
): Pick<Handlers, 'bounceSession' | 'verifyBounce' | 'listBounces' | 'listLedger'> {
  const { catalogue, pool } = workplace
  const root = catalogueRoot(catalogue.path)
  return {
    bounceSession: (input, context) => bounceSession(workplace, input, context),
    verifyBounce: ({ manifestPath }, context) => verifyBounce(pool, manifestPath, context),
    listBounces: async (request) =>
      catalogue.bounces
        .list(request)
        .map((bounce) => ({ ...bounce, manifestPath: resolve(root, bounce.manifestPath) })),
    listLedger: async (request) => catalogue.ledger.list(request),
  }
}
