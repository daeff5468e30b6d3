// Bouncing: what the stems hold, what stands in their headers, and what happens when something goes wrong.

import { execFileSync } from 'node:child_process'
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { Session } from '../../../app/contract/entities.ts'
import { type Manifest, parseManifest } from '../../../app/contract/manifest.ts'
import type { BounceOutcome } from '../../../app/contract/wire/commands.ts'
import { verifyBounce } from '../../../app/services/bounces/verify.ts'
import { createPool } from '../../../app/workers/pool.ts'
import { hasTool } from '../../require-tool.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

const hasFfmpeg = hasTool('ffmpeg')
const hasSox = hasTool('sox')

/** Noise that lies on 24-bit words, so that the file holds it exactly. */
const words = (frames: number, seed: number): Float64Array =>
  whiteNoise(frames, seed, 0.5).map((x) => Math.round(x * 2 ** 23) / 2 ** 23)

const bounce = (
  { handlers, folder }: Workshop,
  session: Session,
  changes: { layerStems?: boolean; encoding?: 'pcm-24' | 'float-32'; folder?: string } = {},
): Promise<BounceOutcome> =>
  handlers.bounceSession(
    { sessionId: session.id, folder: join(folder, 'out'), encoding: 'pcm-24', layerStems: false, ...changes },
    context,
  )

const manifestOf = (outcome: BounceOutcome): Manifest =>
  parseManifest(JSON.parse(readFileSync(outcome.manifest, 'utf8')), 'manifest')

function samplesOf(path: string): Float64Array[] {
  const audio = openAudioFile(path)
  const { channels, frames } = audio.format
  const into = Array.from({ length: channels }, () => new Float64Array(frames))
  audio.read(0, frames, into)
  audio.close()
  return into
}

async function withTwoLayers(shop: Workshop): Promise<Session> {
  const session = await shop.createSession()
  const [a, b] = await shop.takeIn(
    session,
    writeTake(join(shop.folder, 'a.wav'), [words(20_000, 1)]),
    writeTake(join(shop.folder, 'b.wav'), [words(30_000, 2)]),
  )
  await shop.place(session, a)
  await shop.place(session, b, 'Doubles', { offsetSamples: 1000, gainDb: -6, pan: 0.5 })
  return session
}

it('the manifest lists the takes in the order of the layers, whichever was imported first', async () => {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const [a] = await shop.takeIn(session, writeTake(join(shop.folder, 'a.wav'), [words(2000, 1)]))
  const [b] = await shop.takeIn(session, writeTake(join(shop.folder, 'b.wav'), [words(2000, 2)]))
  await shop.place(session, b)
  await shop.place(session, a, 'Doubles')
  const manifest = manifestOf(await bounce(shop, session))
  expect(manifest.takes.map(({ name }) => name)).toEqual(['b', 'a'])
})

describe('the stems of a bounce', () => {
  it('have one length and one start; F10: with chains off, the stem of a mono layer at 0 dB is its take', async () => {
    const shop = openWorkshop()
    const session = await withTwoLayers(shop)
    const outcome = await bounce(shop, session, { layerStems: true })
    const manifest = manifestOf(outcome)
    const formats = manifest.stems.map(
      (stem) => openAudioFile(join(dirname(outcome.manifest), stem.file)).format,
    )
    expect(formats.map((format) => format.frames)).toEqual([31_000, 31_000, 31_000, 31_000])
    expect(new Set(formats.map((format) => format.timeReferenceSamples))).toEqual(new Set([3600 * 48_000]))

    const exact = manifest.stems.find((stem) => stem.kind === 'layer' && stem.name.endsWith(' a'))
    expect(exact?.ditherSeed).toBeNull()
    const [stem] = samplesOf(join(dirname(outcome.manifest), exact?.file ?? ''))
    expect(stem.subarray(0, 20_000)).toEqual(words(20_000, 1))
    expect(stem.subarray(20_000).every((x) => x === 0)).toBe(true)
  })

  it.skipIf(!hasFfmpeg || !hasSox)('are read alike by ffmpeg and sox: length, rate, samples', async () => {
    const shop = openWorkshop()
    const outcome = await bounce(shop, await withTwoLayers(shop))
    for (const { path } of outcome.stems) {
      const ours = samplesOf(path)
      const frames = ours[0].length
      const interleaved = Float64Array.from({ length: frames * 2 }, (_, i) => ours[i % 2][i >> 1])
      const ffmpeg = execFileSync('ffmpeg', ['-v', 'error', '-i', path, '-f', 'f64le', '-'], {
        maxBuffer: 2 ** 26,
      })
      const sox = execFileSync('sox', ['-D', path, '-t', 'raw', '-e', 'float', '-b', '64', '-'], {
        maxBuffer: 2 ** 26,
      })
      for (const bytes of [ffmpeg, sox]) {
        expect(
          new Float64Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length)),
        ).toEqual(interleaved)
      }
      expect(execFileSync('soxi', ['-r', path]).toString().trim()).toBe('48000')
      expect(execFileSync('soxi', ['-s', path]).toString().trim()).toBe(String(frames))
    }
  })

  it('are the same bytes when bounced again', async () => {
    const shop = openWorkshop()
    const session = await withTwoLayers(shop)
    const first = manifestOf(await bounce(shop, session))
    const second = manifestOf(await bounce(shop, session, { folder: join(shop.folder, 'again') }))
    expect(second.stems).toEqual(first.stems)
  })

  it('that would clip in 24 bits is written as float, and the manifest says so', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const [take] = await shop.takeIn(session, writeTake(join(shop.folder, 'a.wav'), [words(4800, 1)]))
    await shop.place(session, take, 'Lead', { gainDb: 12 })
    const manifest = manifestOf(await bounce(shop, session))
    expect(manifest.stems.map((stem) => stem.encoding)).toEqual(['float-32'])
    expect(manifest.remarks.join()).toContain('32-bit float')
    expect(manifest.stems[0].samplePeakDbfs).toBeGreaterThan(0)
  })

  it('say a remark once, with the number of layers that it concerns', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession(44_100)
    const [take] = await shop.takeIn(session, writeTake(join(shop.folder, 'a.wav'), [words(9600, 1)]))
    for (let k = 0; k < 5; k++) await shop.place(session, take)
    const { remarks } = await bounce(shop, session)
    expect(remarks.filter((remark) => remark.includes('converted'))).toEqual([
      '5 layers: converted from 48000 Hz to the session’s 44100 Hz.',
    ])
  })

  it('leave a muted layer out', async () => {
    const shop = openWorkshop()
    const session = await withTwoLayers(shop)
    const layer = shop.workplace.catalogue.layers.listOfSession(session.id)[1]
    await shop.handlers.updateLayer({ id: layer.id, changes: { muted: true } }, context)
    expect((await bounce(shop, session)).stems.map((stem) => stem.name)).toEqual(['Lead'])
  })

  it('of a take at another rate are converted to the session’s, and the manifest says so', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession(44_100)
    const [take] = await shop.takeIn(session, writeTake(join(shop.folder, 'a.wav'), [words(48_000, 1)]))
    await shop.place(session, take)
    const outcome = await bounce(shop, session)
    expect(openAudioFile(outcome.stems[0].path).format).toMatchObject({
      sampleRateHz: 44_100,
      frames: 44_100,
    })
    expect(outcome.remarks.join()).toContain('converted from 48000 Hz')
  })
})

describe('verifying', () => {
  const verify = ({ handlers }: Workshop, outcome: BounceOutcome) =>
    handlers.verifyBounce({ manifestPath: outcome.manifest }, context)

  it('finds everything the same, with every stage on', async () => {
    const shop = openWorkshop()
    const session = await withTwoLayers(shop)
    const voice = await shop.handlers.createVoice(
      { artistId: session.artistId, name: 'Rap', note: '' },
      context,
    )
    const version = await shop.handlers.saveChain(
      { voiceId: voice.id, chainId: null, name: 'All', stages: Object.values(defaultStages), note: '' },
      context,
    )
    for (const group of shop.workplace.catalogue.groups.listOfSession(session.id)) {
      await shop.handlers.updateGroup({ id: group.id, changes: { chainVersionId: version.id } }, context)
    }
    const outcome = await bounce(shop, session, { layerStems: true })
    const { same, differing } = await verify(shop, outcome)
    expect(differing).toEqual([])
    expect(same).toHaveLength(4)
    expect(manifestOf(outcome).chains.map((chain) => chain.sha256)).toEqual(Array(3).fill(version.sha256))
  })

  it('says which layer stems pass the ceiling, because layers cancel in the sum that it limits', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const voice = words(48_000, 1)
    const turned = voice.map((x) => -Math.round(0.9 * x * 2 ** 23) / 2 ** 23)
    for (const [name, samples] of Object.entries({ voice, turned })) {
      const [take] = await shop.takeIn(session, writeTake(join(shop.folder, `${name}.wav`), [samples]))
      await shop.place(session, take)
    }
    const { id: voiceId } = await shop.handlers.createVoice(
      { artistId: session.artistId, name: 'Rap', note: '' },
      context,
    )
    const { ceiling } = defaultStages
    const stages = [{ ...ceiling, settings: { ...ceiling.settings, ceilingDbtp: -20 } }]
    const version = await shop.handlers.saveChain(
      { voiceId, chainId: null, name: 'Held', stages, note: '' },
      context,
    )
    const remarksWith = async (muted: boolean): Promise<readonly string[]> => {
      const [group] = shop.workplace.catalogue.groups.listOfSession(session.id)
      const layer = shop.workplace.catalogue.layers.listOfSession(session.id).at(-1)!
      await shop.handlers.updateGroup({ id: group.id, changes: { chainVersionId: version.id } }, context)
      await shop.handlers.updateLayer({ id: layer.id, changes: { muted } }, context)
      const outcome = await bounce(shop, session, {
        layerStems: true,
        folder: join(shop.folder, `muted ${muted}`),
      })
      return manifestOf(outcome).remarks.filter((remark) => remark.includes('the ceiling by up to'))
    }
    expect(await remarksWith(false)).toEqual([
      expect.stringMatching(
        /^\S+\.wav, \S+\.wav: pass the ceiling by up to \d+\.\d dB, because layers cancel/,
      ),
    ])
    expect(await remarksWith(true)).toEqual([])
  })

  it('gives the same bytes with one thread as with many', async () => {
    const shop = openWorkshop()
    const outcome = await bounce(shop, await withTwoLayers(shop), { layerStems: true })
    const pool = createPool(1)
    try {
      expect((await verifyBounce(pool, outcome.manifest, context)).differing).toEqual([])
    } finally {
      await pool.close()
    }
  })

  it('names the stem whose take has one other byte, and only that', async () => {
    const shop = openWorkshop()
    const outcome = await bounce(shop, await withTwoLayers(shop))
    const path = join(shop.folder, 'b.wav')
    shop.tampered.add(path)
    const bytes = readFileSync(path)
    bytes[bytes.length - 100] ^= 1
    writeFileSync(path, bytes)
    const { same, differing } = await verify(shop, outcome)
    expect(same).toEqual(['InventedSong_Lead_48k24b.wav'])
    expect(differing.map(({ stem }) => stem)).toEqual(['InventedSong_Doubles_48k24b.wav'])
  })

  it('names a stem that was changed or is missing', async () => {
    const shop = openWorkshop()
    const outcome = await bounce(shop, await withTwoLayers(shop))
    const [lead, doubles] = outcome.stems.map((stem) => stem.path)
    const bytes = readFileSync(lead)
    shop.tampered.add(lead).add(doubles)
    bytes[bytes.length - 10] ^= 1
    writeFileSync(lead, bytes)
    rmSync(doubles)
    const { same, differing } = await verify(shop, outcome)
    expect(same).toEqual([])
    expect(differing.map(({ reason }) => reason)).toEqual([
      'the stem has changed since the bounce',
      'the stem is missing',
    ])
  })

  it('of a take that has vanished says which and where it was', async () => {
    const shop = openWorkshop()
    const outcome = await bounce(shop, await withTwoLayers(shop))
    rmSync(join(shop.folder, 'b.wav'))
    const { unverified } = await verify(shop, outcome)
    expect(unverified.length).toBeGreaterThan(0)
    for (const { reason } of unverified) expect(reason).toContain('b.wav')
  })
})

describe('a bounce that cannot be', () => {
  it('says so when nothing is placed', async () => {
    const shop = openWorkshop()
    await expect(bounce(shop, await shop.createSession())).rejects.toMatchObject({ code: 'empty' })
  })

  it('refuses a take that is not what it was', async () => {
    const shop = openWorkshop()
    const session = await withTwoLayers(shop)
    rmSync(join(shop.folder, 'a.wav'))
    shop.tampered.add(join(shop.folder, 'a.wav'))
    writeTake(join(shop.folder, 'a.wav'), [words(20_000, 9)])
    await expect(bounce(shop, session)).rejects.toMatchObject({ code: 'changed' })
    expect(readdirSync(shop.folder)).not.toContain('out')
  })

  it('refuses a folder that is a file', async () => {
    const shop = openWorkshop()
    const session = await withTwoLayers(shop)
    writeFileSync(join(shop.folder, 'out'), '')
    await expect(bounce(shop, session)).rejects.toMatchObject({ name: 'Failure' })
    expect(readFileSync(join(shop.folder, 'out'), 'utf8')).toBe('')
  })

  it('when cancelled leaves nothing behind, and what was there before as it was', async () => {
    const shop = openWorkshop()
    const session = await withTwoLayers(shop)
    mkdirSync(join(shop.folder, 'out'))
    writeFileSync(join(shop.folder, 'out', 'notes.txt'), 'mine')
    const abort = new AbortController()
    const running = shop.handlers.bounceSession(
      { sessionId: session.id, folder: join(shop.folder, 'out'), encoding: 'pcm-24', layerStems: false },
      { signal: abort.signal, report: () => abort.abort() },
    )
    await expect(running).rejects.toMatchObject({ code: 'cancelled' })
    expect(readdirSync(join(shop.folder, 'out'))).toEqual(['notes.txt'])
  })
})
