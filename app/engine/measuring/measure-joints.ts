// Runs one take through a whole chain and measures it at every joint; the river is drawn from this. The
// sound at one joint can be kept, so that after a change behind it only the rest is measured again.

import { isLayerStage } from '../../contract/chain-document.ts'
import type { ChainMeasurement, Joint, MeasuredStage } from '../../contract/joints.ts'
import type { StageSetup } from '../../contract/render-plan.ts'
import { createChain } from '../../dsp/chain.ts'
import { dbFromGain } from '../../dsp/maths/decibels.ts'
import { median } from '../../dsp/maths/median.ts'
import { activeBlocks, createBlockPowers, loudnessOfBlocks } from '../../dsp/meters/equal-loudness.ts'
import { createJointMeter, type JointMeter } from '../../dsp/meters/joint-meter.ts'
import { BLOCK_FRAMES, type Channels, type Stage } from '../../dsp/stage.ts'
import { scaleBlock, sumGainOf } from '../mixes/centre-gain.ts'
import type { TakeSource } from '../mixes/take-source.ts'
import { createSoundReceiver, createSoundSender, type PassedSound } from './passed-sound.ts'

/** Quieter blocks at the chain's input do not count for a stage's usual reduction; common practice. */
const ACTIVE_ABOVE_DBFS = -50

/**
 * The stages after the sum get a mono take at the gain of one side. Their joints count both sides, so
 * that level and loudness are continuous across the sum.
 */
const BOTH_SIDES_DB = -dbFromGain(sumGainOf(1))

/** A stage to measure: `setup` is null where it is off or has nothing to do. */
export interface StageToMeasure {
  readonly kind: string
  readonly on: boolean
  readonly setup: StageSetup | null
  readonly remark: string | null
}

/** The sound before one stage, and everything measured up to there. */
export interface KeptJoint {
  /** The joint is before `stages[beforeStage]`. */
  readonly beforeStage: number
  /** The sound there, with the latency of the stages before it; 32-bit floats, one array per channel. */
  readonly signal: readonly Float32Array[]
  /** Which 100 ms blocks are active at the chain's input. */
  readonly active: Uint8Array
  /** Which blocks of BLOCK_FRAMES are loud enough there to count for the usual reduction. */
  readonly loud: Uint8Array
  readonly joints: readonly Joint[]
  readonly stages: readonly MeasuredStage[]
}

/** Measurements of all joints of a chain on one take. */
export interface JointsOfTake {
  readonly measurement: ChainMeasurement
  /** The joint named by `keepBeforeStage`. */
  readonly kept: KeptJoint | null
}

/** What to reuse from the last measurement, and what to keep for the next. */
export interface MeasureOptions {
  /** Already measured; everything before its stage must be unchanged since then. */
  readonly from?: KeptJoint | null
  /** Keeps the sound before this stage, which must come after `from`. */
  readonly keepBeforeStage?: number | null
}

/** Stages whose joints one thread measures; those before them run unmeasured. */
export interface StageRange {
  readonly fromStage: number
  /** Excluded. */
  readonly toStage: number
}

/** The joints that one thread has measured. */
export interface JointsPart {
  readonly range: StageRange
  /**
   * The joint after each stage of the range, null where the stage does nothing; for the first stages of a chain that
   * is measured from its start, also the input before them.
   */
  readonly joints: readonly (Joint | null)[]
  readonly stages: readonly MeasuredStage[]
  readonly seconds: number
  /** null where the joint to keep is in another part. */
  readonly kept: Pick<KeptJoint, 'signal' | 'active' | 'loud'> | null
}

const REDUCING_KINDS: readonly string[] = ['expander', 'de-ess', 'opto', 'ceiling']

/**
 * Measures joints of a chain on one take, alone and panned to the centre.
 * @param range ends at the last stage to run
 * @param onProgress receives the fraction done; throws to stop
 * @param passed takes the sound from the thread of the first range to that of the last; null where each thread runs
 *   the stages before its range itself
 */
export function measureJoints(
  source: TakeSource,
  sampleRateHz: number,
  stages: readonly StageToMeasure[],
  range: StageRange,
  onProgress: (fraction: number) => void,
  { from = null, keepBeforeStage = null }: MeasureOptions = {},
  passed: PassedSound | null = null,
): JointsPart {
  const { channels, frames } = source
  let fraction = 0
  const receiver =
    passed !== null && range.fromStage > (from?.beforeStage ?? 0)
      ? createSoundReceiver(passed, () => onProgress(fraction))
      : null
  const kept = receiver === null ? from : null
  const first = receiver === null ? (from?.beforeStage ?? 0) : range.fromStage
  const isFromTake = receiver === null && kept === null
  const isStart = isFromTake && range.fromStage === 0
  const steps = stages
    .slice(first, range.toStage)
    .map((stage, k) => createStep(stage, sampleRateHz, channels, first + k >= range.fromStage))
  const inputMeter = isStart ? createJointMeter({ sampleRateHz, channels }) : null
  // Another thread meters the input; here only its active blocks are needed.
  const inputPowers = isFromTake && !isStart ? createBlockPowers({ sampleRateHz, channels }) : null
  // The sum comes after the layer's last stage; its gain is applied before the first step after it.
  const sumStep = stages.slice(first).findIndex((stage) => !isLayerKind(stage))
  const isSumAhead = sumStep !== -1 && (first === 0 || isLayerKind(stages[first - 1]))
  const sumGain = sumGainOf(channels)

  const lateBefore = receiver?.latencySamples() ?? (kept === null ? 0 : kept.signal[0].length - frames)
  const late = lateBefore + steps.reduce((sum, step) => sum + step.latencySamples, 0)
  const total = frames + late
  const sender = passed !== null && range.toStage < stages.length ? createSoundSender(passed, late) : null
  const isKeptHere =
    keepBeforeStage !== null && keepBeforeStage >= range.fromStage && keepBeforeStage < range.toStage
  const keepStep = isKeptHere ? keepBeforeStage - first : -1
  const keptFrames =
    frames + lateBefore + steps.slice(0, keepStep).reduce((sum, step) => sum + step.latencySamples, 0)
  const keptSignal = keepStep < 0 ? null : Array.from({ length: channels }, () => sharedFloats(keptFrames))
  const loud = from?.loud ?? passed?.loud ?? new Uint8Array(Math.ceil(frames / BLOCK_FRAMES))

  const block: Channels = Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES))
  const read = (at: number, count: number): void => {
    if (receiver !== null) receiver.receive(at, count, block)
    else if (kept !== null) readKept(kept.signal, at, count, block)
    else source.read(at, count, block)
  }
  for (let at = 0; at < total; at += BLOCK_FRAMES) {
    const count = Math.min(BLOCK_FRAMES, total - at)
    const blockIndex = at / BLOCK_FRAMES
    read(at, count)
    if (isFromTake) {
      inputMeter?.add(block, count)
      inputPowers?.add(block, count)
      if (blockIndex < loud.length) loud[blockIndex] = isLoud(block, count) ? 1 : 0
    }
    for (const [k, step] of steps.entries()) {
      if (k === keepStep) writeKept(block, count, keptSignal, at)
      if (k === sumStep && isSumAhead) scaleBlock(block, sumGain, count)
      step.process(block, count)
      step.measure(block, count, loud[blockIndex] === 1)
    }
    sender?.send(block, count)
    fraction = (at + count) / total
    onProgress(fraction)
  }

  // Every joint counts the blocks that are active at the first joint, so that levels are comparable.
  const active =
    from?.active ?? receiver?.active() ?? activeBlocks((inputMeter?.blockPowers() ?? inputPowers?.powers())!)
  sender?.markActive(active)
  // The other thread's stages are late as well, and hear how these fade away.
  for (let at = total; sender !== null && at < sender.length; at += BLOCK_FRAMES) {
    const count = Math.min(BLOCK_FRAMES, sender.length - at)
    read(at, count)
    for (const [k, step] of steps.entries()) {
      if (k === sumStep && isSumAhead) scaleBlock(block, sumGain, count)
      step.process(block, count)
    }
    sender.send(block, count)
    onProgress(1)
  }

  const measured = steps.slice(range.fromStage - first)
  const jointAfter = ({ stage, meter }: Step): Joint | null =>
    meter === null ? null : jointOf(meter, active, !isLayerKind(stage) && channels === 1 ? BOTH_SIDES_DB : 0)
  return {
    range,
    joints: [...(inputMeter === null ? [] : [jointOf(inputMeter, active, 0)]), ...measured.map(jointAfter)],
    stages: measured.map((step) => step.measured()),
    seconds: frames / sampleRateHz,
    kept: keptSignal === null ? null : { signal: keptSignal, active, loud },
  }
}

/** @param parts in the order of their ranges, which together are all stages from `from` on */
export function joinParts(
  parts: readonly JointsPart[],
  { from = null, keepBeforeStage = null }: MeasureOptions,
): JointsOfTake {
  const joints: Joint[] = [...(from?.joints ?? [])]
  // A stage that does nothing leaves the joint as it was.
  for (const joint of parts.flatMap((part) => part.joints)) joints.push(joint ?? joints[joints.length - 1])
  const stages = [...(from?.stages ?? []), ...parts.flatMap((part) => part.stages)]
  const kept = parts.find((part) => part.kept !== null)?.kept ?? null
  return {
    measurement: { joints, stages, seconds: parts[0].seconds },
    kept:
      kept === null || keepBeforeStage === null
        ? null
        : {
            ...kept,
            beforeStage: keepBeforeStage,
            joints: joints.slice(0, keepBeforeStage + 1),
            stages: stages.slice(0, keepBeforeStage),
          },
  }
}

const isLayerKind = (stage: StageToMeasure): boolean => isLayerStage(stage as Pick<StageSetup, 'kind'>)

interface Step {
  readonly stage: StageToMeasure
  readonly latencySamples: number
  /** null where the stage does nothing. */
  readonly meter: JointMeter | null
  process(block: Channels, frames: number): void
  /** Takes the block that `process` has left into the figures. */
  measure(block: Channels, frames: number, isLoud: boolean): void
  measured(): MeasuredStage
}

function createStep(stage: StageToMeasure, sampleRateHz: number, channels: number, isMetered: boolean): Step {
  const { kind, on, remark, setup } = stage
  const running: Stage | null = setup && createChain([setup], { sampleRateHz, laneChannels: [channels] })
  const meter = running !== null && isMetered ? createJointMeter({ sampleRateHz, channels }) : null
  const reductionsDb: number[] = []
  let greatestDb = 0
  return {
    stage,
    latencySamples: running?.latencySamples ?? 0,
    meter,
    process(block, frames) {
      running?.process([block], frames)
    },
    measure(block, frames, isLoud) {
      if (running === null) return
      meter?.add(block, frames)
      greatestDb = Math.max(greatestDb, running.reductionDb)
      if (isLoud) reductionsDb.push(running.reductionDb)
    },
    measured() {
      const reduces = running !== null && REDUCING_KINDS.includes(kind)
      return {
        kind,
        on,
        remark,
        maxReductionDb: reduces ? greatestDb : null,
        medianReductionDb: reduces && reductionsDb.length > 0 ? median(reductionsDb) : null,
      }
    },
  }
}

const sharedFloats = (frames: number): Float32Array => new Float32Array(new SharedArrayBuffer(4 * frames))

function readKept(signal: readonly Float32Array[], at: number, frames: number, into: Channels): void {
  for (const [c, channel] of into.entries()) {
    const kept = signal[c]
    for (let i = 0; i < frames; i++) channel[i] = at + i < kept.length ? kept[at + i] : 0
  }
}

function writeKept(
  block: Channels,
  frames: number,
  signal: readonly Float32Array[] | null,
  at: number,
): void {
  if (signal === null) return
  for (const [c, kept] of signal.entries()) {
    const end = Math.min(frames, kept.length - at)
    for (let i = 0; i < end; i++) kept[at + i] = block[c][i]
  }
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

function isLoud(block: Channels, frames: number): boolean {
  let sum = 0
  for (const channel of block) for (let i = 0; i < frames; i++) sum += channel[i] * channel[i]
  return sum / (frames * block.length) > 10 ** (ACTIVE_ABOVE_DBFS / 10)
}
