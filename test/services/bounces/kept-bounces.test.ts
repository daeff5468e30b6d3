// What earlier versions have left is still good: test/kept holds a catalogue, takes and a bounce
// made by the program as it was before manifests had version 2 and catalogues hashes of rows.

import { cpSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { parseManifest } from '../../../app/contract/manifest.ts'
import { verifyBounce } from '../../../app/services/bounces/verify.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { createPool } from '../../../app/workers/pool.ts'
import { makeFolder } from '../../audio/outside-tools.ts'
import { checkTakesUnharmed } from '../../unharmed-takes.ts'
import { context } from '../workshop.ts'

const kept = join(import.meta.dirname, '../../kept/manifest-1')
const folder = makeFolder()

it('a bounce of manifest version 1, from before the pan law came after the chain, says which version made it', async () => {
  const path = join(kept, 'bounce/manifest.json')
  expect(parseManifest(JSON.parse(readFileSync(path, 'utf8')), path).version).toBe(1)
  const pool = createPool()
  try {
    const { same, differing } = await verifyBounce(pool, path, context)
    expect(same).toEqual([])
    expect(differing.map(({ reason }) => reason)).toEqual(
      Array.from({ length: 4 }, () =>
        expect.stringMatching(
          /^rendering it again gives different bytes: it was bounced by Takeloft 0\.1\.0, and Takeloft [\d.]+ may render/,
        ),
      ),
    )
  } finally {
    await pool.close()
  }
})

it('its catalogue opens with everything, and a new bounce of it verifies beside the old one', async () => {
  cpSync(kept, folder, { recursive: true })
  const workplace = openWorkplace(join(folder, 'catalogue.sqlite'))
  try {
    const { catalogue } = workplace
    const handlers = createHandlers(workplace)
    const [session] = catalogue.sessions.list()
    const [old] = await handlers.listBounces({ sessionId: session.id }, context)
    expect(old.manifestPath).toBe(join(folder, 'bounce/manifest.json'))
    expect(catalogue.takes.listOfSession(session.id).map(({ copies }) => copies)).toEqual([[], []])
    const outcome = await handlers.bounceSession(
      { sessionId: session.id, folder: join(folder, 'bounce'), encoding: 'pcm-24', layerStems: true },
      context,
    )
    expect(outcome.manifest).toBe(join(folder, 'bounce-v02/manifest.json'))
    const verified = await handlers.verifyBounce({ manifestPath: outcome.manifest }, context)
    expect([verified.same.length, verified.differing]).toEqual([4, []])
    const manifest = parseManifest(JSON.parse(readFileSync(outcome.manifest, 'utf8')), 'manifest')
    const references = manifest.stems.map(({ originatorReference }) => originatorReference)
    expect(new Set(references).size).toBe(4)
    for (const reference of references) expect(reference).toMatch(/^[0-9a-f]{32}$/)
  } finally {
    // The manifest was given relative paths before it was kept, so it is not the one that was noted.
    checkTakesUnharmed(workplace.catalogue.path, new Set([join(folder, 'bounce/manifest.json')]))
    await workplace.close()
  }
})
