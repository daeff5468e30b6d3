// The check of a session's stack on recorded speech: a planted bell, a copy 1 ms late, and the input that is not one.
// What is checked is held against the layers' stems of a bounce.

import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import { parseManifest } from '../../../app/contract/manifest.ts'
import type { StackCheckRange } from '../../../app/contract/stack-check/stack-check.ts'
import { haveSpeech } from '../../fidelity/speech.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { SPEECH_LEVELS_DB, speechLayers } from '../../signals/speech-stack.ts'
import { throughBand } from '../../signals/voice-takes.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

const SONG: StackCheckRange = { kind: 'song' }
const seconds = (fromS: number, toS: number): StackCheckRange => ({ kind: 'seconds', fromS, toS })

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
    console.log(
      JSON.stringify(
        check.findings,
        (k, v) => (k === 'places' ? v.length : typeof v === 'number' ? Number(v.toFixed(3)) : v),
        1,
      ),
    )
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
