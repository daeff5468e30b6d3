// The polarity of a layer: an inverted layer beside its twin is digital silence, in a bounce and in playback, and what
// was stored before layers had a polarity stays as it was.

import { cpSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import type { Session } from '../../../app/contract/entities.ts'
import { parseManifest } from '../../../app/contract/manifest.ts'
import { fileIdentity } from '../../../app/services/bounces/file-identity.ts'
import { verifyBounce } from '../../../app/services/bounces/verify.ts'
import { createPool } from '../../../app/workers/pool.ts'
import { makeFolder } from '../../audio/outside-tools.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { bring, exported, fillComputer, openComputer } from '../history/two-computers.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

const FRAMES = 48_000
const STAGES: ChainStages = [
  defaultStages.expander,
  defaultStages['low-cut'],
  { ...defaultStages.drive, settings: { ...defaultStages.drive.settings, amountDb: 9 } },
  defaultStages.opto,
  defaultStages.ceiling,
]

/** A take twice in the group Doubles, through a chain, the second time with inverted polarity. */
async function withTwins(shop: Workshop, isInverted: boolean): Promise<Session> {
  const session = await shop.createSession()
  const voice = await shop.handlers.createVoice(
    { artistId: session.artistId, name: 'rap', note: '' },
    context,
  )
  const chain = await shop.handlers.saveChain(
    { voiceId: voice.id, chainId: null, name: 'Chain', stages: [...STAGES], note: '' },
    context,
  )
  const group = shop.workplace.catalogue.groups
    .listOfSession(session.id)
    .find(({ name }) => name === 'Doubles')!
  await shop.handlers.updateGroup({ id: group.id, changes: { chainVersionId: chain.id } }, context)
  const path = writeTake(join(shop.folder, 'twin.wav'), [whiteNoise(FRAMES, 1, 0.4)])
  const [take] = await shop.takeIn(session, path)
  await shop.place(session, take, 'Doubles', { gainDb: -3.7, pan: 0.3 })
  await shop.place(session, take, 'Doubles', { gainDb: -3.7, pan: 0.3, polarityInverted: isInverted })
  return session
}

const bounced = async ({ handlers, folder }: Workshop, { id }: Session, layerStems = false) => {
  const { manifest: path } = await handlers.bounceSession(
    { sessionId: id, folder: join(folder, 'out'), encoding: 'float-32', layerStems },
    context,
  )
  const manifest = parseManifest(JSON.parse(readFileSync(path, 'utf8')), path)
  const soundOf = (file: string): Float64Array[] => {
    const audio = openAudioFile(join(dirname(path), file))
    const sound = Array.from({ length: audio.format.channels }, () => new Float64Array(audio.format.frames))
    audio.read(0, audio.format.frames, sound)
    audio.close()
    return sound
  }
  return { path, manifest, sounds: manifest.stems.map(({ file }) => soundOf(file)) }
}

const peakOf = (channels: readonly Float64Array[]): number =>
  Math.max(...channels.map((channel) => channel.reduce((most, x) => Math.max(most, Math.abs(x)), 0)))

const played = async (shop: Workshop, { id: sessionId }: Session): Promise<Float32Array> => {
  const target = { kind: 'stack', sessionId } as const
  const { playbackId } = await shop.handlers.openPlayback(
    { target, draft: null, compare: null, lowerDb: 0, solo: null, tried: null },
    context,
  )
  return shop.workplace.playback.ask('span', { playbackId, fromFrame: 4800, frames: 24_000 })
}

describe('a layer with inverted polarity', () => {
  it('cancels its twin to digital silence in a bounce and on both sides of a playback', async () => {
    for (const isInverted of [true, false]) {
      const shop = openWorkshop()
      const session = await withTwins(shop, isInverted)
      const { sounds } = await bounced(shop, session)
      const heard = await played(shop, session)
      // The twins that are not inverted show that there was something to cancel.
      if (isInverted) expect([peakOf(sounds[0]), heard.every((x) => x === 0)]).toEqual([0, true])
      else expect([peakOf(sounds[0]) > 0.1, heard.some((x) => Math.abs(x) > 0.1)]).toEqual([true, true])
    }
  })

  it('has a stem of its own that is the take times -1, and the bounce verifies', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const path = writeTake(join(shop.folder, 'lead.wav'), [whiteNoise(FRAMES, 2, 0.4)])
    const [take] = await shop.takeIn(session, path)
    await shop.place(session, take, 'Lead', { polarityInverted: true })
    const { path: manifest, sounds } = await bounced(shop, session, true)
    const audio = openAudioFile(path)
    const [samples] = [new Float64Array(FRAMES)]
    audio.read(0, FRAMES, [samples])
    audio.close()
    expect(sounds[1]).toEqual([samples.map((x) => -x)])
    const { same, differing } = await shop.handlers.verifyBounce({ manifestPath: manifest }, context)
    expect([same.length, differing]).toEqual([2, []])
  })

  it('is in the plan of a manifest only where it is inverted', async () => {
    const shop = openWorkshop()
    const { manifest } = await bounced(shop, await withTwins(shop, true))
    expect(manifest.version).toBe(4)
    expect(manifest.plan.layers.map((layer) => layer.polarityInverted)).toEqual([undefined, true])
    expect('polarityInverted' in manifest.plan.layers[0]!).toBe(false)
  })

  it('keeps its polarity where another field changes', async () => {
    const shop = openWorkshop()
    const session = await withTwins(shop, true)
    const inverted = () =>
      shop.workplace.catalogue.layers.listOfSession(session.id).map((one) => one.polarityInverted)
    const [, twin] = shop.workplace.catalogue.layers.listOfSession(session.id)
    await shop.handlers.updateLayer({ id: twin.id, changes: { gainDb: 1 } }, context)
    expect(inverted()).toEqual([false, true])
    await shop.handlers.updateLayers(
      { layers: [{ id: twin.id, changes: { polarityInverted: false } }] },
      context,
    )
    expect(inverted()).toEqual([false, false])
  })
})

describe('what was stored before layers had a polarity', () => {
  const kept = join(import.meta.dirname, '../../kept/manifest-3')
  const folder = makeFolder()

  it('verifies byte for byte, as a bounce that was made by the program of then', async () => {
    cpSync(kept, folder, { recursive: true })
    const pool = createPool()
    try {
      const path = join(folder, 'bounce/manifest.json')
      const { same, differing } = await verifyBounce(pool, path, context)
      expect([same.length, differing]).toEqual([4, []])
    } finally {
      await pool.close()
    }
  })

  it('is bounced anew with the references and the dither of then', () => {
    const path = join(kept, 'bounce/manifest.json')
    const manifest = parseManifest(JSON.parse(readFileSync(path, 'utf8')), path)
    expect(manifest.version).toBe(3)
    for (const { file, originatorReference } of manifest.stems)
      expect(fileIdentity(manifest.plan, null, file).slice(0, 32)).toBe(originatorReference)
  })

  it('is no change in a history: settings have the same text until a layer is inverted, which then follows', async () => {
    const [home, studio] = [openComputer(), openComputer()]
    const { session } = await fillComputer(home)
    expect((await exported(home)).includes('polarityInverted')).toBe(false)
    await bring(home, studio)
    studio.setMinute(10)
    const layers = (computer: typeof home) =>
      computer.workplace.catalogue.layers.listOfSession(computer === home ? session.id : 1)
    await studio.handlers.updateLayer(
      { id: layers(studio)[0]!.id, changes: { polarityInverted: true } },
      context,
    )
    const merged = await bring(studio, home)
    expect(merged).toMatchObject({ conflicts: [], changed: [{ kind: 'session' }] })
    expect(layers(home).map((one) => one.polarityInverted)).toEqual([true])
    expect(await exported(home)).toEqual(await exported(studio))
  })
})
