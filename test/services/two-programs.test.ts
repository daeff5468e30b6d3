// Several programs at work on one catalogue at the same time get in nobody's way.

import { spawn } from 'node:child_process'
import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { openCatalogue } from '../../db/catalogue.ts'
import { makeFolder } from '../audio/outside-tools.ts'
import { CATALOGUE, makeTemplate } from '../faults/template.ts'
import { before, environmentOf, harmAfter, leftovers, wordsOf } from '../faults/tried.ts'
import { PINNED_NODE } from '../hosts/run-takeloft.ts'
import { hasTool } from '../require-tool.ts'

const folder = makeFolder()

it.skipIf(!hasTool('flac'))(
  'two of each of import, bounce and save, all at once: each is done, nothing is lost',
  async () => {
    const root = join(folder, 'shared')
    await makeTemplate(root)
    const was = before(root)
    const acts = (['import', 'bounce', 'save'] as const).flatMap((act) => [act, act])
    const runs = await Promise.all(
      acts.map(
        (act) =>
          new Promise<{ act: (typeof acts)[number]; status: number | null; said: string; stderr: string }>(
            (resolve) => {
              const child = spawn(PINNED_NODE, wordsOf(act, root), { env: environmentOf(root) })
              const parts = { said: '', stderr: '' }
              child.stdout.on('data', (part: Buffer) => {
                parts.said += part.toString()
              })
              child.stderr.on('data', (part: Buffer) => {
                parts.stderr += part.toString()
              })
              child.on('close', (status) => resolve({ act, status, ...parts }))
            },
          ),
      ),
    )
    for (const { act, status, said, stderr } of runs) {
      expect(status, `${act}: ${stderr}`).toBe(0)
      const lines = act === 'bounce' ? [] : said.split('\n').filter((line) => line !== '')
      expect(harmAfter(act, root, was, lines)).toEqual([])
    }
    expect(leftovers(root)).toEqual([])
    expect(
      readdirSync(root)
        .filter((name) => name.startsWith('out'))
        .sort(),
    ).toEqual(['out', 'out-v02', 'out-v03'])
    const catalogue = openCatalogue(join(root, CATALOGUE))
    expect(catalogue.bounces.list()).toHaveLength(3)
    expect(catalogue.artists.list()).toHaveLength(7)
    expect(catalogue.takes.listOfSession(1)).toHaveLength(4)
    catalogue.close()
  },
)
