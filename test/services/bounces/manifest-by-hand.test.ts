// Manifests edited by hand: rejected with a clear message if they cannot be rendered, and otherwise
// rendered with their own values, not with those that this version would choose.

import { execFileSync } from 'node:child_process'
import { readFileSync, renameSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import type { Manifest } from '../../../app/contract/manifest.ts'
import { verifyBounce } from '../../../app/services/bounces/verify.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

/** The caller edits what went out. */
async function bounced(shop: Workshop): Promise<{ path: string; manifest: Manifest }> {
  const session = await shop.createSession()
  const [mono, slow] = await shop.takeIn(
    session,
    writeTake(join(shop.folder, 'mono.wav'), [whiteNoise(20_000, 1, 0.3)]),
    writeTake(join(shop.folder, 'slow.wav'), [whiteNoise(20_000, 2, 0.3)], { sampleRateHz: 44_100 }),
  )
  await shop.place(session, mono, 'Lead', { gainDb: -3 })
  await shop.place(session, slow, 'Doubles', { gainDb: -3, pan: 0.3 })
  const { manifest: path } = await shop.handlers.bounceSession(
    { sessionId: session.id, folder: join(shop.folder, 'out'), encoding: 'pcm-24', layerStems: true },
    context,
  )
  shop.tampered.add(join(shop.folder, 'out'))
  return { path, manifest: JSON.parse(readFileSync(path, 'utf8')) as Manifest }
}

const verify = (shop: Workshop, path: string) => verifyBounce(shop.workplace.pool, path, context)

it('stems named by an earlier version verify, with the dither seeds in their manifest', async () => {
  const shop = openWorkshop()
  const { path, manifest } = await bounced(shop)
  expect(manifest.stems.map((stem) => stem.ditherSeed)).not.toContain(null)
  const stems = manifest.stems.map((stem, k) => {
    const file = `한글${k}Ночь_48k24b.wav`
    renameSync(join(shop.folder, 'out', stem.file), join(shop.folder, 'out', file))
    return { ...stem, file }
  })
  writeFileSync(path, JSON.stringify({ ...manifest, stems }))
  expect(await verify(shop, path)).toEqual({
    same: stems.map((stem) => stem.file),
    differing: [],
    unverified: [],
  })
})

it.skipIf(process.platform === 'win32').each(['/dev/zero', 'pipe'])(
  'what is at a take path of %s, which would never end or block, is not read: it is not the take',
  async (name) => {
    const shop = openWorkshop()
    const { path, manifest } = await bounced(shop)
    const take = name === 'pipe' ? join(shop.folder, name) : name
    if (name === 'pipe') execFileSync('mkfifo', [take])
    const takes = manifest.takes.map((one) => ({ ...one, path: take }))
    writeFileSync(path, JSON.stringify({ ...manifest, takes }))
    const { same, differing } = await verify(shop, path)
    expect(same).toEqual([])
    expect(differing.map(({ reason }) => reason)).toEqual(
      manifest.stems.map(() => expect.stringMatching(/^the take (mono|slow) has changed since the bounce$/)),
    )
  },
)

it('a plan that is longer than its layers is refused before anything is rendered', async () => {
  const shop = openWorkshop()
  const { path, manifest } = await bounced(shop)
  writeFileSync(path, JSON.stringify({ ...manifest, plan: { ...manifest.plan, frames: 4e9 } }))
  await expect(verify(shop, path)).rejects.toMatchObject({
    code: 'invalid-input',
    message: `${path} cannot be used as a manifest: its plan has 4000000000 frames from 0, and its layers take 21769 from 0; restore the original manifest.`,
  })
})

it('a take whose format differs from the manifest is a Failure, not an internal error', async () => {
  const shop = openWorkshop()
  const { path, manifest } = await bounced(shop)
  const layers = manifest.plan.layers.map((layer) => ({
    ...layer,
    take: { ...layer.take, channels: 2 as const },
  }))
  writeFileSync(path, JSON.stringify({ ...manifest, plan: { ...manifest.plan, layers } }))
  await expect(verify(shop, path)).rejects.toMatchObject({
    code: 'invalid-input',
    message: expect.stringMatching(
      /it says that the take of the layer "mono" has 20000 frames of 2 ch at 48000 Hz, and the file has 20000 of 1 at 48000 Hz/,
    ),
  })
})

it('a take at a rate that cannot be converted is a Failure, not an internal error', async () => {
  const shop = openWorkshop()
  const { path, manifest } = await bounced(shop)
  const layers = manifest.plan.layers.map((layer) => ({
    ...layer,
    take: { ...layer.take, sampleRateHz: 47_999 },
  }))
  writeFileSync(path, JSON.stringify({ ...manifest, plan: { ...manifest.plan, layers } }))
  await expect(verify(shop, path)).rejects.toMatchObject({ code: 'not-supported' })
})
