// One take through a whole chain, measured at every joint: what the river is drawn from.

import { isLayerStage } from '../contract/chain-document.ts'
import type { ChainMeasurement, Joint } from '../contract/joints.ts'
import type { StageSetup } from '../contract/render-plan.ts'
import { createChain } from '../dsp/chain.ts'
import { dbFromGain } from '../dsp/decibels.ts'
import { activeBlocks, loudnessOfBlocks } from '../dsp/equal-loudness.ts'
import { createJointMeter, type JointMeter } from '../dsp/joint-meter.ts'
import { BLOCK_FRAMES, type Channels } from '../dsp/stage.ts'
import { CENTRE_GAIN, scaleBlock, sumGainOf } from './centre-gain.ts'
import type { TakeSource } from './take-source.ts'

/** Blocks quieter than this at the chain's input are not counted for a stage's usual reduction; common practice. */
const ACTIVE_ABOVE_DBFS = -50

/** Joints after the sum count both sides, so that level and loudness run on unbroken across it. */
const BOTH_SIDES_DB = -dbFromGain(CENTRE_GAIN)

/** A stage as it is measured: `setup` is null where it is off or has nothing to do. */
export interface StageToMeasure {
  readonly kind: string
  readonly on: boolean
  readonly setup: StageSetup | null
  readonly remark: string | null
}

const REDUCING_KINDS: readonly string[] = ['expander', 'de-ess', 'opto', 'ceiling']

/**
 * Measures every joint of a chain on one take, alone and in the middle.
 * @param moved hears the fraction done; throws to stop
 */
export function measureJoints(
  source: TakeSource,
  sampleRateHz: number,
  stages: readonly StageToMeasure[],
  moved: (fraction: number) => void,
): ChainMeasurement {
  const { channels, frames } = source
  const setups = stages.flatMap((stage) => (stage.setup === null ? [] : [stage.setup]))
  const layerSetups = setups.filter(isLayerStage)
  const meters = Array.from({ length: setups.length + 1 }, () => createJointMeter({ sampleRateHz, channels }))
  const layout = { sampleRateHz, laneChannels: [channels] }
  const layerChain = createChain(layerSetups, layout, (joint, lanes, count) =>
    meters[joint].add(lanes[0], count),
  )
  const sumChain = createChain(setups.slice(layerSetups.length), layout, (joint, lanes, count) => {
    // The joint at the sum has been measured before it.
    if (joint > 0) meters[layerSetups.length + joint].add(lanes[0], count)
  })
  const running = [...layerChain.stages, ...sumChain.stages]
  const sumGain = sumGainOf(channels)
  const block: Channels = Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES))
  const reductionsDb: number[][] = setups.map(() => [])
  const greatestDb = setups.map(() => 0)
  const activeAbove = 10 ** (ACTIVE_ABOVE_DBFS / 10)

  const total = frames + layerChain.latencySamples + sumChain.latencySamples
  for (let at = 0; at < total; at += BLOCK_FRAMES) {
    const count = Math.min(BLOCK_FRAMES, total - at)
    source.read(at, count, block)
    const isActive = meanSquare(block, count) > activeAbove
    layerChain.process([block], count)
    scaleBlock(block, sumGain, count)
    sumChain.process([block], count)
    for (const [k, stage] of running.entries()) {
      greatestDb[k] = Math.max(greatestDb[k], stage.reductionDb)
      if (isActive) reductionsDb[k].push(stage.reductionDb)
    }
    moved((at + count) / total)
  }

  // Every joint counts the blocks that are active at the first, so that levels compare like with like.
  const active = activeBlocks(meters[0].blockPowers())
  const joints: Joint[] = [jointOf(meters[0], active, 0)]
  let passed = 0
  const measured = stages.map(({ kind, on, setup, remark }) => {
    const k = setup === null ? null : passed++
    const isAfterSum = passed > layerSetups.length
    joints.push(jointOf(meters[passed], active, isAfterSum && channels === 1 ? BOTH_SIDES_DB : 0))
    const reduces = k !== null && REDUCING_KINDS.includes(kind)
    return {
      kind,
      on,
      remark,
      maxReductionDb: reduces ? greatestDb[k] : null,
      medianReductionDb: reduces ? medianOf(reductionsDb[k]) : null,
    }
  })
  return { joints, stages: measured, seconds: frames / sampleRateHz }
}

/** @param sidesDb added where the joint carries the same sound on two sides */
function jointOf(meter: JointMeter, active: Uint8Array, sidesDb: number): Joint {
  const levels = meter.levels(active)
  const raised = (levelDb: number | null): number | null => (levelDb === null ? null : levelDb + sidesDb)
  return {
    levelDbfs: raised(levels.rmsLevelDbfs),
    loudnessLufs: raised(loudnessOfBlocks(meter.blockPowers(), active)),
    samplePeakDbfs: levels.samplePeakDbfs,
    crestDb: levels.crestFactorDb,
    strandsDbfs: levels.strandLevelsDbfs.map(raised),
  }
}

function meanSquare(block: Channels, frames: number): number {
  let sum = 0
  for (const channel of block) for (let i = 0; i < frames; i++) sum += channel[i] * channel[i]
  return sum / (frames * block.length)
}

function medianOf(values: readonly number[]): number | null {
  if (values.length === 0) return null
  const sorted = Float64Array.from(values).sort()
  return sorted[Math.floor(sorted.length / 2)]
}
