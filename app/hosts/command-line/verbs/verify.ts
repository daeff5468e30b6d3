// takeloft verify MANIFEST

import type { Command } from 'commander'
import { verifyManifest } from '../../../services/deliveries/verify.ts'
import { withPool } from '../../../services/single-files/with-pool.ts'
import { placesIn } from '../../../services/takes/take-files.ts'
import { withExistingWorkplace } from '../../../services/with-workplace.ts'
import { DIFFERS, NOT_USABLE } from '../exit-status.ts'
import { createCallContext, printResult } from '../talk.ts'

export function addVerifyVerb(program: Command): void {
  program
    .command('verify')
    .argument('<manifest>', 'manifest.json of a bounce or a delivery')
    .description('render a bounce or a delivery again and compare the bytes')
    .option('--catalogue <file>', 'where takes are that are not where the manifest has them')
    .option('--json', 'print one JSON document')
    .action(async (manifest: string, { catalogue, json }: { catalogue?: string; json?: true }) => {
      const { same, differing, unverified } =
        catalogue === undefined
          ? await withPool((pool) => verifyManifest(pool, manifest, createCallContext()))
          : await withExistingWorkplace(catalogue, (workplace) =>
              verifyManifest(workplace.pool, manifest, createCallContext(), placesIn(workplace.catalogue)),
            )
      const document = {
        same,
        differing: differing.map(({ stem }) => stem),
        unverified: unverified.map(({ stem }) => stem),
        reasons: Object.fromEntries([...differing, ...unverified].map(({ stem, reason }) => [stem, reason])),
      }
      printResult(json, document, [
        ...same.map((stem) => `same       ${stem}`),
        ...differing.map(({ stem, reason }) => `differing  ${stem}: ${reason}`),
        ...unverified.map(({ stem, reason }) => `unverified ${stem}: ${reason}`),
      ])
      if (differing.length > 0) process.exitCode = DIFFERS
      else if (unverified.length > 0) process.exitCode = NOT_USABLE
    })
}
