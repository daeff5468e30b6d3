// Matching a drive on a take as the engine hears it: where it stands in the chain, and in time.

import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { StageSetup } from '../../../app/contract/render-plan.ts'
import { createLoudnessMeter } from '../../../app/dsp/meters/loudness.ts'
import type { DriveSettings } from '../../../app/dsp/stages/settings.ts'
import { matchDriveOutput } from '../../../app/engine/measuring/match-drive.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { plannedGroup, plannedLayer, planOf, takeInMemory } from '../../signals/takes.ts'
import { feed } from '../../signals/tones.ts'
import { renderPlan } from '../rendering.ts'

const FS = 48_000
const DRIVE: DriveSettings = {
  amountDb: 12,
  referenceDbfs: -12,
  evenPercent: 30,
  mixPercent: 100,
  outputDb: 0,
}
const voice = hissedLine(8, FS, 4, { vowelPeak: 0.8 }).samples

const setup = <K extends keyof typeof defaultStages>(kind: K): StageSetup =>
  ({ kind, settings: defaultStages[kind].settings }) as StageSetup
const BEFORE: StageSetup[] = [
  { kind: 'trim', settings: { gainDb: 3, invertPolarity: false } },
  setup('low-cut'),
  setup('tone'),
  setup('de-ess'),
]

function loudnessLufs(channels: readonly Float64Array[]): number {
  const meter = createLoudnessMeter({ sampleRateHz: FS, channels: channels.length })
  feed(meter.add, channels)
  return meter.integratedLufs()!
}

/** The stem of the take's group, through layer stages and the rest. */
function stemOf(stages: readonly StageSetup[]): Float64Array[] {
  const isLayer = (stage: StageSetup) => stage.kind === 'trim'
  const plan = planOf(voice.length, {
    groups: [plannedGroup(1, { stages: stages.filter((stage) => !isLayer(stage)) })],
    layers: [plannedLayer(1, 1, voice.length, { stages: stages.filter(isLayer) })],
  })
  return renderPlan(plan, () => takeInMemory([voice])).groups.get(1)!
}

describe('matchDrive', () => {
  it.each([
    [{}, BEFORE],
    [{ mixPercent: 40 }, BEFORE],
    [{ amountDb: 24, evenPercent: 100 }, BEFORE],
    [{ outputDb: -17 }, []],
  ] as const)(
    '%o: the stem with the drive is as loud as the one without, within 0.1 LU',
    (changes, before) => {
      const settings = { ...DRIVE, ...changes }
      const outputDb = matchDriveOutput(takeInMemory([voice]), FS, before, settings, () => {})!
      expect(Math.abs(outputDb)).toBeGreaterThan(0.3)
      const driven = stemOf([...before, { kind: 'drive', settings: { ...settings, outputDb } }])
      expect(Math.abs(loudnessLufs(driven) - loudnessLufs(stemOf(before)))).toBeLessThan(0.1)
    },
  )

  it('hears a stereo take at its own level, and stops when asked to', () => {
    const quiet = voice.map((x) => 0.25 * x)
    const match = (moved: () => void) =>
      matchDriveOutput(takeInMemory([voice, quiet]), FS, [], { ...DRIVE, amountDb: 18 }, moved)
    expect(match(() => {})).toBeGreaterThan(1)
    expect(() =>
      match(() => {
        throw new Error('stopped')
      }),
    ).toThrow('stopped')
  })
})
