// takeloft audit --catalogue FILE [--all]

import type { Command } from 'commander'
import { auditTakes } from '../../../services/keeping/audit.ts'
import { withExistingWorkplace } from '../../../services/with-workplace.ts'
import { CHECK_WORDS } from '../../../words/missing-takes.ts'
import { countOf } from '../../../words/numbers.ts'
import { DIFFERS } from '../exit-status.ts'
import { createCallContext, printResult, say } from '../talk.ts'

interface AuditOptions {
  readonly catalogue: string
  readonly all?: true
  readonly json?: true
}

export function addAuditVerb(program: Command): void {
  program
    .command('audit')
    .description('read the files of takes again, and tell which are not as they were imported')
    .requiredOption('--catalogue <file>', 'the catalogue')
    .option('--all', 'all takes; without it the share that is due today, a thirtieth of all bytes')
    .option('--json', 'print one JSON document')
    .action(async ({ catalogue, all, json }: AuditOptions) => {
      const audit = await withExistingWorkplace(catalogue, (workplace) =>
        auditTakes(workplace, all === true, createCallContext()),
      )
      const { checked, sound, findings, inUse } = audit
      say(`${countOf(checked, 'take')} read, ${sound} as imported.`)
      for (const name of inUse) say(`${name} was being written to while it was read; read it again later.`)
      printResult(
        json,
        audit,
        findings.flatMap(({ name, path, result, copies }) => [
          `${result.padEnd(10)} ${name}: ${CHECK_WORDS[result]} (${path})`,
          ...copies.map((copy) => `           the take's bytes are in ${copy}`),
        ]),
      )
      if (findings.length > 0) process.exitCode = DIFFERS
    })
}
