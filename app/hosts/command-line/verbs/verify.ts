// takeloft verify MANIFEST

import type { Command } from 'commander'
import { verifyBounce } from '../../../services/bounces/verify.ts'
import { withPool } from '../../../services/single-files/with-pool.ts'
import { DIFFERS } from '../exit-status.ts'
import { createCallContext, printResult } from '../talk.ts'

export function addVerifyVerb(program: Command): void {
  program
    .command('verify')
    .argument('<manifest>', 'manifest.json of a bounce')
    .description('render a bounce again and compare the bytes')
    .option('--json', 'print one JSON document')
    .action(async (manifest: string, { json }: { json?: true }) => {
      const { same, differing } = await withPool((pool) => verifyBounce(pool, manifest, createCallContext()))
      const document = {
        same,
        differing: differing.map(({ stem }) => stem),
        reasons: Object.fromEntries(differing.map(({ stem, reason }) => [stem, reason])),
      }
      printResult(json, document, [
        ...same.map((stem) => `same       ${stem}`),
        ...differing.map(({ stem, reason }) => `differing  ${stem}: ${reason}`),
      ])
      if (differing.length > 0) process.exitCode = DIFFERS
    })
}
