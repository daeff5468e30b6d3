// takeloft relocate --catalogue FILE DIR

import { resolve } from 'node:path'
import type { Command } from 'commander'
import { relocateTakes } from '../../../services/takes/relocate-takes.ts'
import { withExistingWorkplace } from '../../../services/with-workplace.ts'
import { countOf } from '../../../words/numbers.ts'
import { createCallContext, printResult, say } from '../talk.ts'

export function addRelocateVerb(program: Command): void {
  program
    .command('relocate')
    .argument('<dir>', 'folder to search, with its subfolders')
    .description('find the missing takes of all sessions in a folder, by size and then by hash')
    .requiredOption('--catalogue <file>', 'the catalogue')
    .option('--json', 'print one JSON document')
    .action(async (folder: string, { catalogue, json }: { catalogue: string; json?: true }) => {
      const { found, missing, files, unread } = await withExistingWorkplace(catalogue, (workplace) =>
        relocateTakes(workplace, resolve(folder), createCallContext()),
      )
      say(
        `${found.length} of ${countOf(found.length + missing.length, 'missing take')} found among ${countOf(files, 'file')}.`,
      )
      if (unread > 0) say(`${countOf(unread, 'file or folder', 'files or folders')} could not be read.`)
      printResult(json, { found, missing }, [
        ...found.map(({ name, path }) => `found    ${name}: ${path}`),
        ...missing.map(({ name, path }) => `missing  ${name}: last at ${path}`),
      ])
    })
}
