// Changes of layers that are heard before they are made: one side is the stack as it is, the other the stack with them.

import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { ParsedPlaybackSource } from '../../../app/contract/playback.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

const FRAMES = 96_000
const PART = 24_000
const lead = whiteNoise(FRAMES, 1, 0.2)
const double = whiteNoise(FRAMES, 2, 0.2)

async function twoLayers(shop: Workshop) {
  const session = await shop.createSession()
  const takes = await shop.takeIn(
    session,
    ...[lead, double].map((samples, k) =>
      writeTake(join(shop.folder, `take ${k}.wav`), [samples], { encoding: 'float-32' }),
    ),
  )
  await shop.place(session, takes[0], 'Lead')
  await shop.place(session, takes[1], 'Doubles', { role: 'double', offsetSamples: 480 })
  const [, layer] = shop.workplace.catalogue.layers.listOfSession(session.id)
  return { sessionId: session.id, layer }
}

/** Dry and processed left sides from 0.5 s on, without the gain of the pan law. */
async function sidesOf(shop: Workshop, sessionId: number, more: Partial<ParsedPlaybackSource>) {
  const target = { kind: 'stack', sessionId } as const
  const source = { target, draft: null, compare: null, lowerDb: 0, solo: null, tried: null, ...more }
  const opened = await shop.handlers.openPlayback(source, context)
  const span = await shop.workplace.playback.ask('span', {
    playbackId: opened.playbackId,
    fromFrame: PART,
    frames: PART,
  })
  const side = (c: number): number[] =>
    [...span.subarray(c * PART, (c + 1) * PART)].map((x) => x * Math.SQRT2)
  return { opened, dry: side(0), processed: side(2) }
}

const apart = (heard: readonly number[], of: (n: number) => number): number =>
  heard.reduce((most, x, i) => Math.max(most, Math.abs(x - of(PART + i))), 0)

describe('a change of a layer that is tried', () => {
  const before = (n: number): number => lead[n] + double[n - 480]

  it('is on the processed side alone, and the dry side is the stack as it is', async () => {
    const shop = openWorkshop()
    const { sessionId, layer } = await twoLayers(shop)
    for (const [changes, after] of [
      [{ gainDb: -6 }, (n: number) => lead[n] + 10 ** (-6 / 20) * double[n - 480]],
      [{ offsetSamples: 432 }, (n: number) => lead[n] + double[n - 432]],
      [{ muted: true }, (n: number) => lead[n]],
      [{ polarityInverted: true }, (n: number) => lead[n] - double[n - 480]],
    ] as const) {
      const { dry, processed } = await sidesOf(shop, sessionId, { tried: [{ layerId: layer.id, changes }] })
      expect(apart(dry, before)).toBeLessThan(1e-6)
      expect(apart(processed, after)).toBeLessThan(1e-6)
    }
    expect(shop.workplace.catalogue.layers.get(layer.id)).toEqual(layer)
  })

  it('leaves the song as long as it is, and may begin before it', async () => {
    const shop = openWorkshop()
    const { sessionId, layer } = await twoLayers(shop)
    const tried = (changes: object) => ({ tried: [{ layerId: layer.id, changes }] })
    const { opened: muted } = await sidesOf(shop, sessionId, tried({ muted: true }))
    expect([muted.startFrame, muted.frames]).toEqual([0, FRAMES + 480])
    const { opened, dry, processed } = await sidesOf(shop, sessionId, tried({ offsetSamples: -48 }))
    expect([opened.startFrame, opened.frames]).toEqual([-48, FRAMES + 528])
    expect(apart(dry, before)).toBeLessThan(1e-6)
    expect(apart(processed, (n) => lead[n] + double[n + 48])).toBeLessThan(1e-6)
  })

  it('may come with the draft of a chain, which the dry side does not have', async () => {
    const shop = openWorkshop()
    const { sessionId, layer } = await twoLayers(shop)
    const trim = { ...defaultStages.trim, settings: { gainDb: -12, invertPolarity: false } }
    const draft = { groupId: layer.groupId, stages: [trim] }
    const { dry, processed } = await sidesOf(shop, sessionId, { draft, tried: [] })
    expect(apart(dry, before)).toBeLessThan(1e-6)
    expect(apart(processed, (n) => lead[n] + 10 ** (-12 / 20) * double[n - 480])).toBeLessThan(1e-6)
  })

  it('is lowered behind the chains by as much as asked for, and the dry side is not', async () => {
    const shop = openWorkshop()
    const { sessionId, layer } = await twoLayers(shop)
    const trim = { ...defaultStages.trim, settings: { gainDb: 6, invertPolarity: false } }
    const draft = { groupId: layer.groupId, stages: [trim] }
    const { dry, processed } = await sidesOf(shop, sessionId, { draft, tried: [], lowerDb: 4.5 })
    expect(apart(dry, before)).toBeLessThan(1e-6)
    const gain = 10 ** (-4.5 / 20)
    const after = (n: number): number => gain * (lead[n] + 10 ** (6 / 20) * double[n - 480])
    expect(apart(processed, after)).toBeLessThan(1e-6)
  })
})
