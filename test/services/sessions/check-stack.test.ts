// The check of a session's stack on recorded speech: a planted bell, a copy 1 ms late, and the input that is not one.
// What is checked is held against the layers' stems of a bounce.

import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import { parseManifest } from '../../../app/contract/manifest.ts'
import type { SongRange } from '../../../app/contract/sections/song-range.ts'
import { haveSpeech } from '../../fidelity/speech.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { SPEECH_LEVELS_DB, speechLayers } from '../../signals/speech-stack.ts'
import { throughBand } from '../../signals/voice-takes.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

const SONG: SongRange = { kind: 'song' }
const seconds = (fromS: number, toS: number): SongRange => ({
  kind: 'frames',
  fromFrame: Math.round(fromS * 48_000),
  toFrame: Math.round(toS * 48_000),
})

interface Placed {
  readonly samples: Float64Array
  readonly gainDb?: number
  readonly offsetSamples?: number
  readonly pan?: number
}

/** The first is the lead; layers with one array share its take. */
async function stackOf(shop: Workshop, layers: readonly Placed[], stages?: ChainStages): Promise<number> {
  const session = await shop.createSession()
  const paths = new Map<Float64Array, string>()
  for (const { samples } of layers) {
    if (paths.has(samples)) continue
    paths.set(
      samples,
      writeTake(join(shop.folder, `take ${paths.size + 1}.wav`), [samples], { encoding: 'float-32' }),
    )
  }
  const takes = await shop.takeIn(session, ...paths.values())
  const all = [...paths.keys()]
  for (const [k, { samples, ...changes }] of layers.entries()) {
    await shop.place(session, takes[all.indexOf(samples)], k === 0 ? 'Lead' : 'Doubles', {
      role: k === 0 ? 'lead' : 'double',
      name: `Layer ${k + 1}`,
      ...changes,
    })
  }
  if (stages !== undefined) {
    const { handlers, workplace } = shop
    const voice = await handlers.createVoice({ artistId: session.artistId, name: 'voice', note: '' }, context)
    const { id: chainVersionId } = await handlers.saveChain(
      { voiceId: voice.id, chainId: null, name: 'Chain', stages, note: '' },
      context,
    )
    for (const { id } of workplace.catalogue.groups.listOfSession(session.id)) {
      await handlers.updateGroup({ id, changes: { chainVersionId } }, context)
    }
  }
  return session.id
}

describe.skipIf(!haveSpeech)('six layers of speech', () => {
  it('name the one with a bell of 8 dB at 3 kHz first, and the copy 1 ms late', async () => {
    const shop = openWorkshop()
    const takes = speechLayers(5)
    const levels = SPEECH_LEVELS_DB
    const layers: Placed[] = takes.map((samples, k) => ({
      samples: k === 3 ? throughBand(samples, 'bell', 3000, 8, 2) : samples,
      gainDb: levels[k],
      pan: k === 0 ? 0 : (k - 2.5) / 4,
    }))
    const sessionId = await stackOf(shop, [...layers, { ...layers[1], offsetSamples: 48 }])
    const check = await shop.handlers.checkStack({ sessionId, range: SONG }, context)
    const idOf = (name: string): number => check.layers.find((layer) => layer.name === name)!.layerId
    const [first] = check.findings
    expect(first.kind).toBe('harsh-build-up')
    expect(first.layerIds).toEqual([idOf('Layer 4')])
    const comb = check.findings.find(({ kind }) => kind === 'combing')!
    expect(comb.layerIds).toEqual([idOf('Layer 6'), idOf('Layer 2')])
    expect(comb.value).toBe(1)
    expect(comb.kind === 'combing' && comb.evidence.notchesHz.slice(0, 3)).toEqual([500, 1500, 2500])
    for (const { shares } of check.bands) {
      expect(Math.abs(shares.reduce((sum, { share }) => sum + share, 0) - 1)).toBeLessThan(1e-9)
    }
    const leadId = idOf('Layer 1')
    for (const { suggestion } of check.findings) {
      expect(suggestion === null || suggestion.act === 'hold' ? [] : [suggestion.layerId]).not.toContain(
        leadId,
      )
    }
  })
})

describe.skipIf(!haveSpeech)('what is checked', () => {
  it('is what a bounce writes: shares from the stems of the layers, behind drive and opto', async () => {
    const shop = openWorkshop()
    const { handlers, folder } = shop
    const takes = speechLayers(3)
    const { drive, opto } = defaultStages
    const sessionId = await stackOf(
      shop,
      takes.map((samples, k) => ({ samples, gainDb: -4 * k, offsetSamples: 480 * k })),
      [drive, { ...opto, settings: { ...opto.settings, thresholdDbfs: -30 } }],
    )
    const { manifest } = await handlers.bounceSession(
      { sessionId, folder: join(folder, 'stems'), encoding: 'float-32', layerStems: true },
      context,
    )
    const { stems } = parseManifest(JSON.parse(readFileSync(manifest, 'utf8')), manifest)
    const fromS = 1
    const toS = 9
    const check = await handlers.checkStack({ sessionId, range: seconds(fromS, toS) }, context)
    // Mono layers in the middle are on both sides alike: their stems are all that is needed.
    const heard = check.layers.map(({ name }) => {
      const stem = stems.find((one) => one.kind === 'layer' && one.name.endsWith(name))!
      const audio = openAudioFile(join(folder, 'stems', stem.file))
      const samples = new Float64Array(audio.format.frames)
      audio.read(0, audio.format.frames, [samples])
      audio.close()
      return inPhrases(samples, check.spans)
    })
    const stack = heard[0].map((_, n) => heard.reduce((sum, one) => sum + one[n], 0))
    const whole = stack.reduce((sum, x) => sum + x * x, 0)
    // The shares of the bands, weighed by their energies, against those of the whole sound in time.
    const truth = heard.map((one) => one.reduce((sum, x, n) => sum + x * stack[n], 0) / whole)
    const energies = check.mono.map(({ energyShare }) => energyShare)
    const shares = check.layers.map((_, k) =>
      check.bands.reduce((sum, band, b) => sum + energies[b] * band.shares[k].share, 0),
    )
    for (const [k, share] of shares.entries()) expect(Math.abs(share - truth[k])).toBeLessThan(0.02)
    const again = await handlers.checkStack({ sessionId, range: seconds(fromS, toS) }, context)
    expect(again).toEqual(check)
  })

  it('is cancelled, and reports how far it is', async () => {
    const shop = openWorkshop()
    const sessionId = await stackOf(shop, [{ samples: whiteNoise(8 * 48_000, 1) }])
    const stop = new AbortController()
    const fractions: number[] = []
    const report = (fraction: number): void => void fractions.push(fraction)
    stop.abort()
    await expect(
      shop.handlers.checkStack({ sessionId, range: SONG }, { signal: stop.signal, report }),
    ).rejects.toMatchObject({ code: 'cancelled' })
    await shop.handlers.checkStack({ sessionId, range: SONG }, { ...context, report })
    expect(fractions.at(-1)).toBe(1)
  })
})

describe('input that is not a stack', () => {
  const SECONDS = 5
  const noise = (seed: number): Float64Array => whiteNoise(SECONDS * 48_000, seed, 0.2)
  /** A second of silence at the end. */
  const lead = noise(1).map((x, n) => (n < 4 * 48_000 ? x : 0))

  it('ranges of 10 ms, of silence, turned round, outside of the song, and missing sections', async () => {
    const shop = openWorkshop()
    const sessionId = await stackOf(shop, [{ samples: lead }])
    const refused = async (range: SongRange, code: string, words: RegExp): Promise<void> => {
      await expect(shop.handlers.checkStack({ sessionId, range }, context)).rejects.toMatchObject({
        code,
        message: expect.stringMatching(words),
      })
    }
    await refused(seconds(1, 1.01), 'invalid-input', /10 ms .* too short .* at least 250 ms/)
    await refused(seconds(4.3, 4.9), 'empty', /Nothing is heard in this range/)
    await refused(seconds(3, 2), 'invalid-input', /ends before it begins/)
    await refused(seconds(60, 70), 'invalid-input', /outside of the song/)
    await refused(seconds(-9, -1), 'invalid-input', /outside of the song/)
    await refused({ kind: 'section', sectionId: 7 }, 'not-found', /has no section 7/)
    const [cue, verse] = await Promise.all(
      [0, 96_000].map((lengthSamples) =>
        shop.handlers.addSection(
          { sessionId, name: `Part ${lengthSamples}`, startSamples: 24_000, lengthSamples, note: '' },
          context,
        ),
      ),
    )
    await refused({ kind: 'section', sectionId: cue.id }, 'invalid-input', /marker without a length/)
    const check = await shop.handlers.checkStack(
      { sessionId, range: { kind: 'section', sectionId: verse.id } },
      context,
    )
    expect([check.fromS, check.toS]).toEqual([0.5, 2.5])
    // One layer alone is its own lead: nothing builds up, and it has all of every band.
    expect(check.remarks.join()).toMatch(/only one layer/)
    for (const { buildUpDb, shares } of check.bands) {
      expect(buildUpDb).toBeCloseTo(0, 9)
      expect(shares).toEqual([{ layerId: check.layers[0].layerId, share: 1 }])
    }
    expect(check.findings).toEqual([])
  })

  it('two identical layers, and one of them inverted', async () => {
    const shop = openWorkshop()
    const sessionId = await stackOf(shop, [{ samples: lead }, { samples: lead }])
    const { findings, bands } = await shop.handlers.checkStack({ sessionId, range: SONG }, context)
    for (const { buildUpDb } of bands) expect(buildUpDb).toBeCloseTo(20 * Math.log10(2), 6)
    expect(findings).toHaveLength(1)
    expect(findings[0]).toMatchObject({ kind: 'same-sound', unit: 'dB', suggestion: { act: 'mute' } })
    expect(findings[0].value).toBeCloseTo(20 * Math.log10(2), 3)

    const { layers } = await shop.handlers.openSession({ id: sessionId }, context)
    expect(findings[0].suggestion).toMatchObject({ layerId: layers[1].id })

    const other = openWorkshop()
    const inverted = await stackOf(other, [{ samples: lead }, { samples: lead.map((x) => -0.5 * x) }])
    const cancelled = await other.handlers.checkStack({ sessionId: inverted, range: SONG }, context)
    expect(cancelled.bands[15].buildUpDb).toBeCloseTo(20 * Math.log10(0.5), 3)
    for (const { shares } of cancelled.bands) {
      expect(shares[0].share).toBeCloseTo(2, 4)
      expect(shares[1].share).toBeCloseTo(-1, 4)
    }
    expect(cancelled.findings[0]).toMatchObject({
      kind: 'same-sound',
      evidence: { isInverted: true },
      suggestion: { act: 'invert' },
    })
  })

  it('a chain without stages that act on level: the sums of the layers behind it', async () => {
    const shop = openWorkshop()
    const layers = [{ samples: lead }, { samples: noise(2), gainDb: -6 }]
    const stages: ChainStages = [defaultStages['low-cut'], defaultStages.tone]
    const sessionId = await stackOf(shop, layers, stages)
    const { bands, findings } = await shop.handlers.checkStack({ sessionId, range: seconds(0, 4) }, context)
    // Both layers have the same filters, so that nothing but their levels is left: 10 log10(1 + 10^-0.6).
    for (const { hz, buildUpDb } of bands.filter(({ hz }) => hz >= 1000))
      expect(Math.abs(buildUpDb! - 0.973), `${hz} Hz`).toBeLessThan(0.5)
    expect(findings.filter(({ kind }) => /build-up|combing|same-sound|mono-loss/.test(kind))).toEqual([])
  })

  it('64 layers', async () => {
    const shop = openWorkshop()
    const takes = Array.from({ length: 4 }, (_, k) => noise(k + 1))
    const sessionId = await stackOf(
      shop,
      Array.from({ length: 64 }, (_, k) => ({
        samples: takes[k % 4],
        gainDb: k === 0 ? 0 : -20,
        // More than a comb's delay apart.
        offsetSamples: 960 * k,
      })),
    )
    const { bands, layers, findings } = await shop.handlers.checkStack(
      { sessionId, range: seconds(1.5, 5) },
      context,
    )
    expect(layers).toHaveLength(64)
    for (const { shares, sharesDb, buildUpDb } of bands) {
      expect(Math.abs(shares.reduce((sum, { share }) => sum + share, 0) - 1)).toBeLessThan(1e-9)
      expect(sharesDb.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(buildUpDb!, 6)
    }
    expect(findings.some(({ kind }) => kind === 'combing')).toBe(false)
  })
})

/** The sound within the phrases that were measured. */
function inPhrases(samples: Float64Array, spans: readonly { fromS: number; toS: number }[]): Float64Array {
  return samples.map((x, n) =>
    spans.some(({ fromS, toS }) => n >= fromS * 48_000 && n < toS * 48_000) ? x : 0,
  )
}
