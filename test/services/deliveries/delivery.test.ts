// Deliveries: what their files hold, and what other programs say of them. D5 to D8 are figures for stems: one start and
// length, sums that null, peaks of the reference, and takes bit for bit.

import { execFileSync } from 'node:child_process'
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { basename, join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { hashFile } from '../../../app/audio/sha256.ts'
import { type ChainStage, defaultStages } from '../../../app/contract/chain-document.ts'
import { parseDeliveryManifest } from '../../../app/contract/delivery/delivery-manifest.ts'
import type { DeliveryOutcome } from '../../../app/contract/delivery/delivery-outcome.ts'
import type { Session } from '../../../app/contract/entities.ts'
import type { InputOf } from '../../../app/contract/wire/commands.ts'
import { verifyManifest } from '../../../app/services/deliveries/verify.ts'
import { createPool } from '../../../app/workers/pool.ts'
import { hasTool } from '../../require-tool.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

const hasExiftool = hasTool('exiftool')
const hasSha256sum = hasTool('sha256sum')

/** Noise that lies on 24-bit words, so that the file holds it exactly. */
const words = (frames: number, seed: number, level = 0.25): Float64Array =>
  whiteNoise(frames, seed, level).map((x) => Math.round(x * 2 ** 23) / 2 ** 23)

const deliver = (
  { handlers, folder }: Workshop,
  session: Session,
  changes: Partial<InputOf<'deliver'>> = {},
): Promise<DeliveryOutcome> =>
  handlers.deliver(
    {
      sessionId: session.id,
      folder: join(folder, 'out'),
      sampleRateHz: null,
      encoding: 'pcm-24',
      template: '{initials}_{song}_{part}_{kind}{ver}_{rate}{depth}',
      contents: { groups: true, layers: true, raw: true, aligned: true, reference: true },
      range: { kind: 'song' },
      ...changes,
    } as Parameters<Workshop['handlers']['deliver']>[0],
    context,
  )

const pathsOf = (outcome: DeliveryOutcome, kind: string): string[] =>
  outcome.files.filter((file) => file.kind === kind).map(({ path }) => join(outcome.folder, path))

function soundOf(path: string) {
  const audio = openAudioFile(path)
  const { channels, frames } = audio.format
  const into = Array.from({ length: channels }, () => new Float64Array(frames))
  audio.read(0, frames, into)
  audio.close()
  return { format: audio.format, channels: into }
}

/** RMS of the sum of files minus another, in dBFS. */
function restDbfs(summed: readonly string[], other: string): number {
  const total = soundOf(other).channels.map((channel) => channel.map((x) => -x))
  for (const path of summed) {
    soundOf(path).channels.forEach((channel, c) => {
      for (let i = 0; i < channel.length; i++) total[c]![i]! += channel[i]!
    })
  }
  const power = total.reduce((sum, channel) => sum + channel.reduce((all, x) => all + x * x, 0), 0)
  return 10 * Math.log10(power / (total.length * total[0]!.length) + 1e-300)
}

const CHAIN: ChainStage[] = [
  defaultStages['low-cut'],
  defaultStages.tone,
  defaultStages.drive,
  defaultStages.opto,
  defaultStages.ceiling,
]

/** Two layers in two groups, one of them placed, panned and turned down, behind a chain that drives and limits. */
async function withStack(shop: Workshop, rate: 44_100 | 48_000 = 48_000, withChain = true): Promise<Session> {
  const session = await shop.createSession(rate)
  const [a, b] = await shop.takeIn(
    session,
    writeTake(join(shop.folder, 'a.wav'), [words(60_000, 1)], { sampleRateHz: rate }),
    writeTake(join(shop.folder, 'b.wav'), [words(50_000, 2)], { sampleRateHz: rate }),
  )
  await shop.place(session, a!)
  await shop.place(session, b!, 'Doubles', { offsetSamples: 7000, gainDb: -6, pan: 0.5 })
  if (withChain) {
    const voice = await shop.handlers.createVoice(
      { artistId: session.artistId, name: 'rap', note: '' },
      context,
    )
    const version = await shop.handlers.saveChain(
      { voiceId: voice.id, chainId: null, name: 'Lead chain', stages: CHAIN, note: '' },
      context,
    )
    for (const group of shop.workplace.catalogue.groups.listOfSession(session.id)) {
      await shop.handlers.updateGroup({ id: group.id, changes: { chainVersionId: version.id } }, context)
    }
  }
  return session
}

const tree = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name).slice(folder.length + 1))
    .sort()

describe('a delivery', () => {
  it('has everything in a numbered folder of its own, and every file is in its lists', async () => {
    const shop = openWorkshop()
    const session = await withStack(shop)
    const outcome = await deliver(shop, session)
    expect(basename(outcome.folder)).toBe('IA_InventedSong_2026-10-01_v01')
    expect(readdirSync(outcome.folder).sort()).toEqual(
      [
        '01_Processed',
        '02_Dry',
        '03_Reference',
        '04_Session',
        'README.txt',
        'manifest-sha256.txt',
        'manifest.json',
      ].sort(),
    )
    expect(readdirSync(join(outcome.folder, '04_Session')).sort()).toEqual(
      ['markers.csv', 'markers.mid', 'recall.html', 'session.otio'].sort(),
    )
    expect(tree(outcome.folder)).toEqual(
      [...outcome.files.map(({ path }) => path), 'manifest-sha256.txt'].sort(),
    )
    for (const { path, bytes, sha256 } of outcome.files) {
      expect(statSync(join(outcome.folder, path)).size).toBe(bytes)
      expect(await hashFile(join(outcome.folder, path))).toBe(sha256)
    }
    const manifest = parseDeliveryManifest(
      JSON.parse(readFileSync(outcome.manifest, 'utf8')),
      outcome.manifest,
    )
    expect(manifest.files.map(({ path }) => path)).toEqual(
      outcome.files.map(({ path }) => path).filter((path) => path !== 'manifest.json'),
    )
    if (hasSha256sum) {
      const said = execFileSync('sha256sum', ['-c', 'manifest-sha256.txt'], {
        cwd: outcome.folder,
      }).toString()
      expect(said.match(/: OK$/gm)).toHaveLength(outcome.files.length)
    }
  })

  it('D5: rendered files have one first sample, length and time stamp, at every rate; originator references differ', async () => {
    const shop = openWorkshop()
    const session = await withStack(shop)
    for (const [sampleRateHz, frames] of [
      [null, 60_000],
      [44_100, 55_125],
      [96_000, 120_000],
    ] as const) {
      const outcome = await deliver(shop, session, { sampleRateHz, encoding: 'float-32' })
      const paths = ['group', 'layer', 'aligned', 'reference'].flatMap((kind) => pathsOf(outcome, kind))
      expect(paths).toHaveLength(7)
      const formats = paths.map((path) => soundOf(path).format)
      const rate = sampleRateHz ?? 48_000
      for (const format of formats) {
        expect(format).toMatchObject({ frames, sampleRateHz: rate, timeReferenceSamples: 3600 * rate })
      }
      if (hasExiftool) {
        const tags = JSON.parse(
          execFileSync('exiftool', ['-json', '-OriginatorReference', '-TimeReference', ...paths]).toString(),
        ) as { OriginatorReference: string; TimeReference: number }[]
        expect(new Set(tags.map((tag) => String(tag.OriginatorReference))).size).toBe(7)
        expect(new Set(tags.map((tag) => tag.TimeReference))).toEqual(new Set([3600 * rate]))
      }
    }
  })

  it('D6: float stems add up to the reference within -140 dBFS, 24-bit ones within -120 dBFS', async () => {
    const shop = openWorkshop()
    const session = await withStack(shop)
    const float = await deliver(shop, session, { encoding: 'float-32' })
    const rest = restDbfs(pathsOf(float, 'group'), pathsOf(float, 'reference')[0]!)
    expect(rest).toBeLessThanOrEqual(-140)
    const whole = await deliver(shop, session)
    const rest24 = restDbfs(pathsOf(whole, 'group'), pathsOf(whole, 'reference')[0]!)
    expect(rest24).toBeLessThanOrEqual(-120)
    // Dither of three files is there, so this compares sound and not silence.
    expect(rest24).toBeGreaterThan(-150)
    const converted = await deliver(shop, session, { encoding: 'float-32', sampleRateHz: 44_100 })
    expect(restDbfs(pathsOf(converted, 'group'), pathsOf(converted, 'reference')[0]!)).toBeLessThanOrEqual(
      -140,
    )
    expect(float.files.every(({ truePeakDbtp }) => truePeakDbtp === null || truePeakDbtp > -60)).toBe(true)
  })

  it('D6: so do those behind a shared chain', async () => {
    const shop = openWorkshop()
    const session = await withStack(shop)
    const version = shop.workplace.catalogue.groups.listOfSession(session.id)[0]!.chainVersionId
    await shop.handlers.updateSession(
      { id: session.id, changes: { chainSharing: 'shared', sharedChainVersionId: version } },
      context,
    )
    const float = await deliver(shop, session, { encoding: 'float-32' })
    expect(restDbfs(pathsOf(float, 'group'), pathsOf(float, 'reference')[0]!)).toBeLessThanOrEqual(-140)
  })

  it('D7: the reference is within -1 dBTP behind a ceiling, without a clipped sample; over it a remark says so', async () => {
    const shop = openWorkshop()
    const session = await withStack(shop)
    const quiet = await deliver(shop, session)
    const reference = quiet.files.find(({ kind }) => kind === 'reference')!
    const { channels } = soundOf(join(quiet.folder, reference.path))
    expect(channels.every((channel) => channel.every((x) => Math.abs(x) < 1))).toBe(true)
    if ((reference.truePeakDbtp ?? 0) <= -1) expect(quiet.remarks.join()).not.toContain('dBTP')
    for (const layer of shop.workplace.catalogue.layers.listOfSession(session.id)) {
      await shop.handlers.updateLayer({ id: layer.id, changes: { gainDb: 12 } }, context)
    }
    for (const group of shop.workplace.catalogue.groups.listOfSession(session.id)) {
      await shop.handlers.updateGroup({ id: group.id, changes: { chainVersionId: null } }, context)
    }
    const loud = await deliver(shop, session)
    expect(loud.remarks.join()).toMatch(/reference has a true peak of \d+\.\d dBTP, over -1 dBTP/)
    expect(loud.remarks.join()).toContain('32-bit float, because it would have clipped in 24 bits')
    const [path] = pathsOf(loud, 'reference')
    expect(path).toMatch(/48k32f\.wav$/)
    expect(soundOf(path!).format.encoding).toBe('float-32')
  })

  it('D8: raw takes are the takes byte for byte, aligned ones bit for bit at their places, whatever the chain and gain', async () => {
    const shop = openWorkshop()
    const session = await withStack(shop)
    const outcome = await deliver(shop, session)
    const raw = pathsOf(outcome, 'raw')
    expect(raw.map((path) => readFileSync(path))).toEqual([
      readFileSync(join(shop.folder, 'a.wav')),
      readFileSync(join(shop.folder, 'b.wav')),
    ])
    const [a, b] = pathsOf(outcome, 'aligned').map((path) => soundOf(path).channels[0]!)
    expect(a).toEqual(words(60_000, 1))
    expect(b!.subarray(7000, 57_000)).toEqual(words(50_000, 2))
    expect([...b!.subarray(0, 7000), ...b!.subarray(57_000)].every((x) => x === 0)).toBe(true)
  })

  it('holds a part of the song as the whole has it, with the time stamp of its place', async () => {
    const shop = openWorkshop()
    const session = await withStack(shop)
    const whole = await deliver(shop, session, { encoding: 'float-32' })
    const part = await deliver(shop, session, {
      encoding: 'float-32',
      range: { kind: 'frames', fromFrame: 9000, toFrame: 21_000 },
    })
    for (const kind of ['group', 'layer', 'aligned', 'reference']) {
      pathsOf(part, kind).forEach((path, k) => {
        const { format, channels } = soundOf(path)
        expect(format).toMatchObject({ frames: 12_000, timeReferenceSamples: 3600 * 48_000 + 9000 })
        const all = soundOf(pathsOf(whole, kind)[k]!).channels
        channels.forEach((channel, c) => {
          expect(channel).toEqual(all[c]!.subarray(9000, 21_000))
        })
      })
    }
    // At another rate both start where both rates have a sample: at most 160 samples earlier.
    const converted = await deliver(shop, session, {
      sampleRateHz: 44_100,
      range: { kind: 'frames', fromFrame: 9001, toFrame: 21_000 },
    })
    const { format } = soundOf(pathsOf(converted, 'reference')[0]!)
    expect(format.timeReferenceSamples).toBe(3600 * 44_100 + (8960 * 147) / 160)
  })
})

describe('verifying a delivery', () => {
  const verify = async (path: string) => {
    const pool = createPool(2)
    try {
      return await verifyManifest(pool, path, context)
    } finally {
      await pool.close()
    }
  }

  it('renders the same bytes again, also at another rate, and of a part', async () => {
    const shop = openWorkshop()
    const session = await withStack(shop)
    for (const changes of [
      {},
      { sampleRateHz: 44_100, encoding: 'pcm-16' },
      {
        range: { kind: 'frames', fromFrame: 9000, toFrame: 21_000 },
        contents: { groups: false, layers: true, raw: false, aligned: true, reference: true },
      },
    ] as const) {
      const outcome = await deliver(shop, session, changes as Partial<InputOf<'deliver'>>)
      const { same, differing, unverified } = await verify(outcome.manifest)
      expect({ differing, unverified }).toEqual({ differing: [], unverified: [] })
      expect(same).toEqual(outcome.files.map(({ path }) => path).filter((path) => path !== 'manifest.json'))
    }
  })

  it('names a file with one other byte, one that is missing, one that was added, and a changed list', async () => {
    const shop = openWorkshop()
    const outcome = await deliver(shop, await withStack(shop))
    const [stem] = pathsOf(outcome, 'group')
    shop.tampered.add(outcome.folder)
    const bytes = readFileSync(stem!)
    bytes[2000]! ^= 1
    writeFileSync(stem!, bytes)
    rmSync(join(outcome.folder, '04_Session/markers.csv'))
    writeFileSync(join(outcome.folder, '03_Reference/extra.txt'), 'x')
    writeFileSync(join(outcome.folder, 'manifest-sha256.txt'), 'x')
    const { differing } = await verify(outcome.manifest)
    expect(Object.fromEntries(differing.map(({ stem: path, reason }) => [basename(path), reason]))).toEqual({
      [basename(stem!)]: 'the file has changed since the delivery',
      'markers.csv': 'the file is missing',
      'extra.txt': 'the file was added after the delivery',
      'manifest-sha256.txt': 'it lists other hashes than the manifest, or the manifest has changed',
    })
  })

  it('works where only the delivery is there: its raw takes are the takes', async () => {
    const shop = openWorkshop()
    const outcome = await deliver(shop, await withStack(shop))
    shop.tampered.add(join(shop.folder, 'a.wav'))
    shop.tampered.add(join(shop.folder, 'b.wav'))
    rmSync(join(shop.folder, 'a.wav'))
    rmSync(join(shop.folder, 'b.wav'))
    const { differing, unverified } = await verify(outcome.manifest)
    expect({ differing, unverified }).toEqual({ differing: [], unverified: [] })
  })
})

describe('the ledger', () => {
  it('knows which version went out and what changed since the one before', async () => {
    const shop = openWorkshop()
    const session = await withStack(shop)
    const contents = { groups: true, layers: false, raw: false, aligned: false, reference: true }
    await deliver(shop, session, { contents })
    const [, layer] = shop.workplace.catalogue.layers.listOfSession(session.id)
    await shop.handlers.updateLayer(
      { id: layer!.id, changes: { gainDb: -9.5, offsetSamples: 6990 } },
      context,
    )
    const groups = shop.workplace.catalogue.groups.listOfSession(session.id)
    await shop.handlers.updateGroup({ id: groups[0]!.id, changes: { chainVersionId: null } }, context)
    const second = await deliver(shop, session, { contents, template: '{part}_{ver}' })
    expect(second.number).toBe(2)
    expect(second.changes).toEqual([
      { kind: 'chain', name: groups[0]!.name, from: 'Lead chain v1', to: '' },
      { kind: 'layer-gain', name: 'Doubles b', from: -6, to: -9.5 },
      { kind: 'layer-offset', name: 'Doubles b', from: 7000, to: 6990 },
      {
        kind: 'template',
        name: '',
        from: '{initials}_{song}_{part}_{kind}{ver}_{rate}{depth}',
        to: '{part}_{ver}',
      },
    ])
    const third = await deliver(shop, session, { contents, template: '{part}_{ver}' })
    expect(third.changes).toEqual([])
    const listed = await shop.handlers.listDeliveries({ sessionId: session.id }, context)
    expect(listed.map(({ number, folder }) => [number, folder])).toEqual([
      [3, third.folder],
      [2, second.folder],
      [1, expect.stringMatching(/_v01$/)],
    ])
    const ledger = await shop.handlers.listLedger({ limit: 10 }, context)
    expect(ledger.filter(({ kind }) => kind === 'delivered')).toHaveLength(3)
  })

  it('a folder that has the name already gets the next number', async () => {
    const shop = openWorkshop()
    const session = await withStack(shop, 48_000, false)
    mkdirSync(join(shop.folder, 'out/IA_InventedSong_2026-10-01_v01/x'), { recursive: true })
    const outcome = await deliver(shop, session)
    expect(basename(outcome.folder)).toBe('IA_InventedSong_2026-10-01_v02')
    expect(existsSync(join(shop.folder, 'out/IA_InventedSong_2026-10-01_v01/x'))).toBe(true)
  })
})

describe('what a preview says', () => {
  it('is what is written: the same paths, sizes of sound within 4 kB', async () => {
    const shop = openWorkshop()
    const session = await withStack(shop)
    const request = { sessionId: session.id, sampleRateHz: 96_000, encoding: 'pcm-16' } as const
    const full = {
      ...request,
      template: '{n}_{part}_{kind}_{depth}',
      contents: { groups: true, layers: true, raw: true, aligned: true, reference: true },
      range: { kind: 'song' },
    } as const
    const preview = await shop.handlers.previewDelivery(full, context)
    const outcome = await deliver(shop, session, full)
    expect(preview.files.map(({ path }) => path).sort()).toEqual(
      [...outcome.files.map(({ path }) => path), 'manifest-sha256.txt'].sort(),
    )
    expect(preview).toMatchObject({
      number: 1,
      folderName: basename(outcome.folder),
      seconds: 1.25,
      sampleRateHz: 96_000,
    })
    for (const file of outcome.files.filter(({ kind }) => kind !== 'document')) {
      const planned = preview.files.find(({ path }) => path === file.path)!
      expect(Math.abs(planned.bytes - file.bytes)).toBeLessThanOrEqual(4096)
    }
    expect(preview.chains).toEqual([
      { of: 'Lead', name: 'Lead chain', number: 1 },
      { of: 'Doubles', name: 'Lead chain', number: 1 },
    ])
  })
})
