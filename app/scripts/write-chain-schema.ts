// Writes resources/chain.schema.json; with --check only says whether it is what the program's schemas give.

import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { chainJsonSchema } from '../contract/chain-schema.ts'
import { beginsLike, replaceOwnFile } from '../files/write-file.ts'

const path = fileURLToPath(new URL('../../resources/chain.schema.json', import.meta.url))
const text = `${JSON.stringify(chainJsonSchema(), null, 2)}\n`

if (!process.argv.includes('--check')) {
  replaceOwnFile(path, text, beginsLike(text))
} else if (readFileSync(path, 'utf8') !== text) {
  process.stderr.write(
    'resources/chain.schema.json is not what the schemas give; run "npm run schema" and commit it.\n',
  )
  process.exitCode = 1
}
