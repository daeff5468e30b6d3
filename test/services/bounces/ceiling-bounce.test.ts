// Figure F7 in a bounce: what leaves a chain that ends in a ceiling keeps to it between the
// samples too, and the manifest says what that took. Checked by ideal interpolation (fft.js).

import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import type { ChainStages } from '../../../app/contract/chain-document.ts'
import { type Manifest, parseManifest } from '../../../app/contract/manifest.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { hostileSignals } from '../../signals/hostile.ts'
import { oversampledPeak } from '../../signals/oversampled-peak.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

const CEILING: ChainStages = [
  { kind: 'ceiling', on: true, settings: { ceilingDbtp: -1, lookAheadMs: 2, releaseMs: 80 } },
]
const FRAMES = 24_000

const overDb = (samples: Float64Array) => 20 * Math.log10(oversampledPeak(samples)) + 1

interface Bounced {
  readonly manifest: Manifest
  readonly manifestPath: string
  readonly stems: readonly Float64Array[][]
}

/** The sounds as hard-panned layers (left alone, at their own level), one in each of the first groups. */
async function bounceOf(
  shop: Workshop,
  sounds: readonly Float64Array[],
  isShared: boolean,
  encoding: 'pcm-24' | 'float-32' = 'float-32',
): Promise<Bounced> {
  const { handlers, folder, workplace } = shop
  const session = await shop.createSession()
  const paths = sounds.map((sound, k) =>
    writeTake(join(folder, `take${k}.wav`), [sound], { encoding: 'float-32' }),
  )
  const takes = await shop.takeIn(session, ...paths)
  for (const [k, take] of takes.entries()) {
    await shop.place(session, take, ['Lead', 'Doubles', 'Ad-libs'][k], { pan: -1 })
  }
  const voice = await handlers.createVoice({ artistId: session.artistId, name: 'Loud', note: '' }, context)
  const { id } = await handlers.saveChain(
    { voiceId: voice.id, chainId: null, name: 'Ceiling', stages: CEILING, note: '' },
    context,
  )
  if (isShared) {
    const changes = { chainSharing: 'shared', sharedChainVersionId: id } as const
    await handlers.updateSession({ id: session.id, changes }, context)
  } else {
    for (const group of workplace.catalogue.groups.listOfSession(session.id)) {
      await handlers.updateGroup({ id: group.id, changes: { chainVersionId: id } }, context)
    }
  }
  const outcome = await handlers.bounceSession(
    { sessionId: session.id, folder: join(folder, 'out'), encoding, layerStems: false },
    context,
  )
  return {
    manifest: parseManifest(JSON.parse(readFileSync(outcome.manifest, 'utf8')), 'manifest'),
    manifestPath: outcome.manifest,
    stems: outcome.stems.map(({ path }) => {
      const audio = openAudioFile(path)
      const channels = Array.from({ length: 2 }, () => new Float64Array(audio.format.frames))
      audio.read(0, audio.format.frames, channels)
      audio.close()
      return channels
    }),
  }
}

describe('a group with a ceiling of its own', () => {
  it.each(Object.entries(hostileSignals(FRAMES, 11)))(
    '%s: no true peak more than 0.3 dB above it (F7: any input)',
    async (_, sound) => {
      const { stems, manifest } = await bounceOf(openWorkshop(), [sound], false)
      expect(overDb(stems[0][0])).toBeLessThanOrEqual(0.3)
      const { ceilingTrimDb } = manifest.stems[0]
      expect(ceilingTrimDb).toBeLessThan(1.5)
      // The setting itself stays what the engineer chose.
      expect(manifest.plan.groups[0].stages).toEqual([{ kind: 'ceiling', settings: CEILING[0].settings }])
      expect(manifest.remarks.some((remark) => remark.includes('ceiling'))).toBe(ceilingTrimDb > 0)
    },
  )

  it.each(['pcm-24', 'float-32'] as const)(
    'in %s no sample of any hostile signal is above it',
    async (encoding) => {
      for (const sound of Object.values(hostileSignals(6000, 12))) {
        const { stems } = await bounceOf(openWorkshop(), [sound], false, encoding)
        const greatest = stems[0][0].reduce((most, x) => Math.max(most, Math.abs(x)), 0)
        expect(greatest).toBeLessThanOrEqual(10 ** (-1 / 20))
      }
    },
  )

  it('a driven voice: no more than 0.1 dB above it (F7: voice)', async () => {
    const { samples } = hissedLine(8, 48_000, 3, { vowelPeak: 3, hissRms: 0.5 })
    const { stems } = await bounceOf(openWorkshop(), [samples], false)
    expect(overDb(stems[0][0])).toBeLessThanOrEqual(0.1)
  })

  it('what stays under it is left alone, and no trim is made', async () => {
    const { samples } = hissedLine(4, 48_000, 3, { vowelPeak: 0.5, hissRms: 0.05 })
    const { stems, manifest } = await bounceOf(openWorkshop(), [samples], false)
    expect(manifest.stems[0].ceilingTrimDb).toBe(0)
    expect(stems[0][0]).toEqual(
      // A sum has no negative zero.
      Float64Array.from(new Float32Array(samples), (x) => x + 0),
    )
  })

  it('is verified without looking again: another trim in the manifest gives different bytes', async () => {
    const shop = openWorkshop()
    const noise = hostileSignals(FRAMES, 11)['full-scale even noise']
    const { manifest, manifestPath } = await bounceOf(shop, [noise], false)
    expect(manifest.stems[0].ceilingTrimDb).toBeGreaterThan(0.05)
    const verify = () => shop.handlers.verifyBounce({ manifestPath }, context)
    expect((await verify()).differing).toEqual([])
    const stems = manifest.stems.map((stem) => ({ ...stem, ceilingTrimDb: stem.ceilingTrimDb + 0.1 }))
    shop.tampered.add(manifestPath)
    writeFileSync(manifestPath, JSON.stringify({ ...manifest, stems }))
    expect((await verify()).differing.map(({ reason }) => reason)).toEqual([
      'rendering it again gives different bytes',
    ])
  })

  it('a manifest from before there was a trim is one without', async () => {
    const shop = openWorkshop()
    const { manifest } = await bounceOf(shop, [new Float64Array(FRAMES).fill(0.1)], false)
    const stems = manifest.stems.map(({ ceilingTrimDb: _, ...stem }) => stem)
    expect(parseManifest({ ...manifest, stems }, 'manifest').stems[0].ceilingTrimDb).toBe(0)
  })
})

it('a shared chain: the sum of the stems keeps to the ceiling, and one trim stands in all of them', async () => {
  const sounds = [21, 22, 23].map((seed) => hostileSignals(FRAMES, seed)['full-scale even noise'])
  const { stems, manifest } = await bounceOf(openWorkshop(), sounds, true)
  const sum = Float64Array.from({ length: FRAMES }, (_, n) =>
    stems.reduce((total, [left]) => total + left[n], 0),
  )
  // The law's drop at the centre, -3.01 dB (equal power), comes after the ceiling.
  expect(overDb(sum)).toBeLessThanOrEqual(0.3 - 3.01)
  expect(overDb(sum)).toBeGreaterThan(-0.5 - 3.01)
  const trims = manifest.stems.map((stem) => stem.ceilingTrimDb)
  expect(new Set(trims).size).toBe(1)
  expect(trims[0]).toBeGreaterThan(0.05)
})
