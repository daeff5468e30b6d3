// Writes resources/chain.schema.json; with --check only says whether it is what the program's schemas give.

import { readFileSync, writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { chainJsonSchema } from '../contract/chain-schema.ts'

const path = fileURLToPath(new URL('../../resources/chain.schema.json', import.meta.url))
const text = `${JSON.stringify(chainJsonSchema(), null, 2)}\n`

if (!process.argv.includes('--check')) {
  writeFileSync(path, text)
} else if (readFileSync(path, 'utf8') !== text) {
  process.stderr.write(
    'resources/chain.schema.json is not what the schemas give; run "npm run schema" and commit it.\n',
  )
  process.exitCode = 1
}
