// Runs one take through a whole chain and measures it at every joint; the river is drawn from this. The
// sound at one joint can be kept, so that after a change behind it only the rest is measured again.

import type { ChainMeasurement, Joint, MeasuredStage } from '../../contract/joints.ts'
import type { StageSetup } from '../../contract/render-plan.ts'
import { median } from '../../dsp/maths/median.ts'
import { activeBlocks, createBlockPowers, loudnessOfBlocks } from '../../dsp/meters/equal-loudness.ts'
import type { JointMeter } from '../../dsp/meters/joint-meter.ts'
import {
  createRowMeter,
  type RowMeter,
  type SongRows,
  type StageTrace,
} from '../../dsp/meters/song/row-meter.ts'
import { createLaneDelay } from '../../dsp/mix/lane-delay.ts'
import { BLOCK_FRAMES, type Channels, type Stage } from '../../dsp/stage.ts'
import { createStage } from '../../dsp/stages/create-stage.ts'
import type { TakeSource } from '../mixes/take-source.ts'
import { createSoundReceiver, createSoundSender, type PassedSound } from './passed-sound.ts'

/** Quieter blocks at the chain's input do not count for a stage's usual reduction; common practice. */
const ACTIVE_ABOVE_DBFS = -50

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
  /** Along the song, from the joint `from` on, which is left out; null after a stage that does nothing. */
  readonly rows: readonly (SongRows | null)[]
  /** The joint named by `keepBeforeStage`. */
  readonly kept: KeptJoint | null
}

/** What to reuse from the last measurement, and what to keep for the next. */
export interface MeasureOptions {
  /** Already measured; everything before its stage must be unchanged since then. */
  readonly from?: KeptJoint | null
  /** Keeps the sound before this stage, which must come after `from`. */
  readonly keepBeforeStage?: number | null
  /** Whether the joints are measured along the song as well. */
  readonly keepsRows?: boolean
  /** Measures a part of the take; the whole if left out. Not together with `from` and `keepBeforeStage`. */
  readonly part?: TakePart | null
}

/** A part of a take, in frames at the session's rate. */
export interface TakePart {
  readonly fromFrame: number
  readonly frames: number
  /** Run before the part without being measured, so that stages with a memory begin as they would be there; whole blocks. */
  readonly preRollFrames: number
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
  /** Of the same joints; empty unless asked for. */
  readonly rows: readonly (SongRows | null)[]
  readonly stages: readonly MeasuredStage[]
  readonly seconds: number
  /** null where the joint to keep is in another part. */
  readonly kept: Pick<KeptJoint, 'signal' | 'active' | 'loud'> | null
}

const REDUCING_KINDS: readonly string[] = ['expander', 'de-ess', 'opto', 'ceiling']

/**
 * Measures joints of a chain on one take, alone and at its own level, as a centred mono layer and a stereo layer meet it.
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
  { from = null, keepBeforeStage = null, keepsRows = false, part = null }: MeasureOptions = {},
  passed: PassedSound | null = null,
): JointsPart {
  const { channels } = source
  const {
    fromFrame,
    frames,
    preRollFrames: preRoll,
  } = part ?? { fromFrame: 0, frames: source.frames, preRollFrames: 0 }
  let fraction = 0
  const receiver =
    passed !== null && range.fromStage > (from?.beforeStage ?? 0)
      ? createSoundReceiver(passed, () => onProgress(fraction))
      : null
  const kept = receiver === null ? from : null
  const first = receiver === null ? (from?.beforeStage ?? 0) : range.fromStage
  const isFromTake = receiver === null && kept === null
  const isStart = isFromTake && range.fromStage === 0
  const lateBefore = receiver?.latencySamples() ?? (kept === null ? 0 : kept.signal[0].length - frames)
  const layout = { sampleRateHz, channels, frames, keepsRows }
  let late = lateBefore
  const steps = stages.slice(first, range.toStage).map((stage, k) => {
    const step = createStep(stage, layout, late, first + k >= range.fromStage)
    late += step.latencySamples
    return step
  })
  const inputMeter = isStart ? createRowMeter(layout, 0) : null
  // Another thread meters the input; here only its active blocks are needed.
  const inputPowers = isFromTake && !isStart ? createBlockPowers({ sampleRateHz, channels }) : null

  const total = preRoll + frames + late
  const sender = passed !== null && range.toStage < stages.length ? createSoundSender(passed, late) : null
  const isKeptHere =
    keepBeforeStage !== null && keepBeforeStage >= range.fromStage && keepBeforeStage < range.toStage
  const keepStep = isKeptHere ? keepBeforeStage - first : -1
  const keptFrames =
    frames + lateBefore + steps.slice(0, keepStep).reduce((sum, step) => sum + step.latencySamples, 0)
  const keptSignal = keepStep < 0 ? null : Array.from({ length: channels }, () => sharedFloats(keptFrames))
  const loud = from?.loud ?? passed?.loud ?? new Uint8Array(Math.ceil((preRoll + frames) / BLOCK_FRAMES))

  const block: Channels = Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES))
  const read = (at: number, count: number): void => {
    if (receiver !== null) receiver.receive(at, count, block)
    else if (kept !== null) readKept(kept.signal, at, count, block)
    else source.read(fromFrame - preRoll + at, count, block)
  }
  for (let at = 0; at < total; at += BLOCK_FRAMES) {
    const count = Math.min(BLOCK_FRAMES, total - at)
    const blockIndex = at / BLOCK_FRAMES
    const isMeasured = at >= preRoll
    read(at, count)
    if (isFromTake && isMeasured) {
      inputMeter?.add(block, count, UNCHANGED)
      inputPowers?.add(block, Math.max(0, Math.min(count, preRoll + frames - at)))
      if (blockIndex < loud.length) loud[blockIndex] = isLoud(block, count) ? 1 : 0
    }
    for (const [k, step] of steps.entries()) {
      if (k === keepStep) writeKept(block, count, keptSignal, at)
      step.process(block, count)
      if (isMeasured) step.measure(block, count, loud[blockIndex] === 1)
    }
    sender?.send(block, count)
    fraction = (at + count) / total
    onProgress(fraction)
  }

  // Every joint counts the blocks that are active at the first joint, so that levels are comparable.
  const active =
    from?.active ??
    receiver?.active() ??
    activeBlocks((inputMeter?.joint.blockPowers() ?? inputPowers?.powers())!)
  sender?.markActive(active)
  // The other thread's stages are late as well, and hear how these fade away.
  for (let at = total; sender !== null && at < sender.length; at += BLOCK_FRAMES) {
    const count = Math.min(BLOCK_FRAMES, sender.length - at)
    read(at, count)
    for (const step of steps) step.process(block, count)
    sender.send(block, count)
    onProgress(1)
  }

  const measured = steps.slice(range.fromStage - first)
  const meters = [...(inputMeter === null ? [] : [inputMeter]), ...measured.map(({ meter }) => meter)]
  return {
    range,
    joints: meters.map((meter) => (meter === null ? null : jointOf(meter.joint, active))),
    rows: keepsRows ? meters.map((meter) => meter?.rows() ?? null) : [],
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
    rows: parts.flatMap((part) => part.rows),
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

interface Step {
  readonly latencySamples: number
  /** null where the stage does nothing. */
  readonly meter: RowMeter | null
  process(block: Channels, frames: number): void
  /** Takes the block that `process` has left into the figures. */
  measure(block: Channels, frames: number, isLoud: boolean): void
  measured(): MeasuredStage
}

/** Of a joint without a stage before it. */
const UNCHANGED: StageTrace = { reductionDb: null, dry: null }

/** @param lateBefore latency of the stages before this one */
function createStep(
  stage: StageToMeasure,
  layout: {
    readonly sampleRateHz: number
    readonly channels: number
    readonly frames: number
    readonly keepsRows: boolean
  },
  lateBefore: number,
  isMetered: boolean,
): Step {
  const { kind, on, remark, setup } = stage
  const { sampleRateHz, channels } = layout
  const isTraced = setup !== null && isMetered && layout.keepsRows
  const trace: StageTrace = {
    reductionDb: isTraced && REDUCING_KINDS.includes(kind) ? new Float64Array(BLOCK_FRAMES) : null,
    dry:
      isTraced && kind === 'drive'
        ? Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES))
        : null,
  }
  const running: Stage | null =
    setup && createStage(setup, { sampleRateHz, laneChannels: [channels] }, trace.reductionDb)
  const latencySamples = running?.latencySamples ?? 0
  const meter = running !== null && isMetered ? createRowMeter(layout, lateBefore + latencySamples) : null
  const dryLanes = trace.dry === null ? [] : [trace.dry]
  const dryDelay = createLaneDelay(trace.dry === null ? [] : [channels], latencySamples)
  const reductionsDb: number[] = []
  let greatestDb = 0
  return {
    latencySamples,
    meter,
    process(block, frames) {
      if (trace.dry !== null) {
        for (let c = 0; c < channels; c++) trace.dry[c].set(block[c])
        dryDelay.process(dryLanes, frames)
      }
      running?.process([block], frames)
    },
    measure(block, frames, isLoud) {
      if (running === null) return
      meter?.add(block, frames, trace)
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

function jointOf(meter: JointMeter, active: Uint8Array): Joint {
  const levels = meter.levels(active)
  return {
    levelDbfs: levels.rmsLevelDbfs,
    loudnessLufs: loudnessOfBlocks(meter.blockPowers(), active),
    samplePeakDbfs: levels.samplePeakDbfs,
    crestDb: levels.crestFactorDb,
    strandsDbfs: [...levels.strandLevelsDbfs],
  }
}

function isLoud(block: Channels, frames: number): boolean {
  let sum = 0
  for (const channel of block) for (let i = 0; i < frames; i++) sum += channel[i] * channel[i]
  return sum / (frames * block.length) > 10 ** (ACTIVE_ABOVE_DBFS / 10)
}
