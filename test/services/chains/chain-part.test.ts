// A part of a take measured by itself, as the window asks for it before the whole.

import { join } from 'node:path'
import { expect, it } from 'vitest'
import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

const RATE = 48_000
/** Noise that gets 20 dB louder after two seconds. */
const sound = whiteNoise(6 * RATE, 1, 0.5).map((x, i) => (i < 2 * RATE ? 0.1 * x : x))
const stages: ChainStages = [
  defaultStages['low-cut'],
  defaultStages.opto,
  { ...defaultStages.drive, on: false },
]

async function openTakes() {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const [whole] = await shop.takeIn(session, writeTake(join(shop.folder, 'whole.wav'), [sound]))
  const cut = sound.subarray(0, 2 * RATE)
  const [start] = await shop.takeIn(session, writeTake(join(shop.folder, 'start.wav'), [cut]))
  return { shop, whole, start }
}

it('the first two seconds have the figures of a take that ends there', async () => {
  const { shop, whole, start } = await openTakes()
  const part = await shop.handlers.measureChainPart(
    { takeId: whole.id, stages, fromSeconds: 0, toSeconds: 2 },
    context,
  )
  const { rows, ...alone } = await shop.handlers.measureChain({ takeId: start.id, stages }, context)
  expect(rows).not.toBeNull()
  // The stages look ahead by less than a block into what follows.
  for (const [k, { levelDbfs, loudnessLufs }] of alone.joints.entries()) {
    expect(part.joints[k].levelDbfs).toBeCloseTo(levelDbfs!, 1)
    expect(part.joints[k].loudnessLufs).toBeCloseTo(loudnessLufs!, 1)
  }
  expect(part.seconds).toBe(2)
  expect(part.stages.map(({ kind, on }) => [kind, on])).toEqual(
    alone.stages.map(({ kind, on }) => [kind, on]),
  )
})

it('is cut at the end of the take, and there is none behind it', async () => {
  const { shop, whole } = await openTakes()
  const measure = (fromSeconds: number, toSeconds: number) =>
    shop.handlers.measureChainPart({ takeId: whole.id, stages, fromSeconds, toSeconds }, context)
  expect((await measure(5, 20)).seconds).toBeCloseTo(1, 1)
  await expect(measure(6.5, 20)).rejects.toMatchObject({ code: 'invalid-input' })
})
