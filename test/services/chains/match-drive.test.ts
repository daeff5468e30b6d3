// The command that sets a drive's output so that driven and clean are equally loud (F4).

import { join } from 'node:path'
import { expect, it } from 'vitest'
import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

const STAGES: ChainStages = [
  defaultStages['low-cut'],
  { ...defaultStages.drive, settings: { ...defaultStages.drive.settings, amountDb: 12 } },
]

async function openWithTake(samples: Float64Array) {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const [take] = await shop.takeIn(session, writeTake(join(shop.folder, 'a.wav'), [samples]))
  return {
    take,
    match: (stages: ChainStages, stageIndex: number) =>
      shop.handlers.matchDrive({ takeId: take.id, stages, stageIndex }, context),
  }
}

it('gives a level in hundredths of a dB that does not depend on the output set before', async () => {
  const { match } = await openWithTake(hissedLine(6, 48_000, 1, { vowelPeak: 0.8 }).samples)
  const { outputDb } = await match(STAGES, 1)
  expect(outputDb).toBeGreaterThan(0.2)
  expect(Math.round(outputDb * 100) / 100).toBe(outputDb)
  const settings = { ...defaultStages.drive.settings, amountDb: 12, outputDb: -9 }
  expect(await match([STAGES[0], { ...defaultStages.drive, settings }], 1)).toEqual({ outputDb })
  // A stage that is off is not heard on the way.
  const off = { ...defaultStages.trim, on: false, settings: { gainDb: 30, invertPolarity: false } }
  expect(await match([off, ...STAGES], 2)).toEqual({ outputDb })
})

it('says what is wrong: no drive there, nothing to match by', async () => {
  const { match } = await openWithTake(new Float64Array(48_000))
  await expect(match(STAGES, 0)).rejects.toMatchObject({ code: 'invalid-input' })
  await expect(match(STAGES, 7)).rejects.toMatchObject({ code: 'invalid-input' })
  await expect(match(STAGES, 1)).rejects.toMatchObject({ code: 'not-enough-material' })
})
