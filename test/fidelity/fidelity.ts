// npm run fidelity: measures the shipped engine against every figure it is held to, prints
// one table, and writes a page with the plots. Leaves with 1 where a figure falls short.

import { mkdirSync, writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { cacheCompiledCode } from '../../app/hosts/compile-cache.mjs'
import { FIGURES } from './figures.ts'
import { pageOf } from './page.ts'
import type { Figure } from './rows.ts'
import { tableAsText } from './table-text.ts'

const USAGE = `npm run fidelity -- [options]
  --only F3,F7   of ${Object.keys(FIGURES).join(', ')}; all of them when nothing is said
  --json         one JSON document on standard output in place of the table
The page with the plots is written to test-results/fidelity.html.`

const PAGE = fileURLToPath(new URL('../../test-results/fidelity.html', import.meta.url))

// V8 of Node 24 can crash while several threads strip types at once.
cacheCompiledCode()

const { values: options } = parseArgs({
  options: {
    only: { type: 'string' },
    json: { type: 'boolean', default: false },
    help: { type: 'boolean', default: false },
  },
})
if (options.help) {
  console.log(USAGE)
  process.exit(0)
}
const wanted = options.only?.split(',').map((id) => id.trim().toUpperCase()) ?? Object.keys(FIGURES)
const unknown = wanted.find((id) => !Object.hasOwn(FIGURES, id))
if (unknown !== undefined) {
  console.error(`--only knows ${Object.keys(FIGURES).join(', ')}, not ${unknown}`)
  process.exit(2)
}

const figures: Figure[] = []
for (const id of wanted) {
  const began = performance.now()
  const figure = await FIGURES[id]()
  figures.push(figure)
  console.error(
    `${id} ${figure.title}: ${figure.rows.length} rows in ${((performance.now() - began) / 1000).toFixed(1)} s`,
  )
}

mkdirSync(fileURLToPath(new URL('../../test-results/', import.meta.url)), { recursive: true })
writeFileSync(
  PAGE,
  pageOf(
    figures,
    'Every number was measured by this run on the engine as it is shipped; 48 kHz unless said.',
  ),
)

const rows = figures.flatMap((figure) => figure.rows)
const short = rows.filter((row) => row.verdict === 'falls short')
const missing = rows.filter((row) => row.verdict === 'not measured')
if (options.json) {
  // JSON has no infinities: an end that is open is null, and so is a reading of exact silence.
  const plain = (_: string, value: unknown) =>
    typeof value === 'number' && !Number.isFinite(value) ? null : value
  console.log(JSON.stringify({ kept: short.length === 0, page: PAGE, rows }, plain, 2))
} else {
  console.log(tableAsText(figures))
  console.log(
    `\n${rows.length} figures, ${short.length} fall short, ${missing.length} not measured on this machine.`,
  )
  for (const row of short) console.log(`✗ ${row.id} ${row.what} (${row.worst?.where})`)
  console.log(`Plots: ${PAGE}`)
}
process.exitCode = short.length > 0 || (process.env.CI === 'true' && missing.length > 0) ? 1 : 0
