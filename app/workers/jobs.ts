// The jobs that run on worker threads, with the input and output of each.

import type { HashAlgorithm } from '../audio/sha256.ts'
import type { FailureData } from '../contract/failure.ts'
import type { Finding } from '../contract/finding.ts'
import type { RenderPlan, StageSetup } from '../contract/render-plan.ts'
import type { StackMeasurement } from '../contract/stack-measurement.ts'
import type { Span } from '../dsp/maths/span.ts'
import type { CheckedStack } from '../dsp/stack/stack-check.ts'
import type { DriveSettings } from '../dsp/stages/settings.ts'
import type { CheckedFrames } from '../engine/measuring/check-stack.ts'
import type { NamedTake } from '../engine/measuring/known-take.ts'
import type {
  JointsPart,
  MeasureOptions,
  StageRange,
  StageToMeasure,
} from '../engine/measuring/measure-joints.ts'
import type { MeasuredFile } from '../engine/measuring/measured-file.ts'
import type { PassedSound } from '../engine/measuring/passed-sound.ts'
import type { PrintCandidates, PrintQuestion } from '../engine/measuring/print-shelf.ts'
import type { WrittenStack } from '../engine/rendering/bounce-stack.ts'
import type { StemOrder, WrittenUnit } from '../engine/rendering/bounce-unit.ts'
import type { VoiceTake } from '../engine/rendering/render-voice-take.ts'
import type { FileOrder, FileSpan } from '../engine/rendering/stem-output.ts'

/** Where the bytes of each take can be read, by the take's hash. */
export type TakePaths = Readonly<Record<string, string>>

/** A take by its path, or what the chain of a group gets. */
export type MeasuredSound =
  | { readonly path: string }
  | { readonly plan: RenderPlan; readonly groupId: number; readonly takePaths: TakePaths }

/** Input and output of every job. */
export interface Jobs {
  /** Reads the whole catalogue and fails with `catalogue-damaged` if it is damaged. */
  readonly checkCatalogue: { input: { path: string }; output: null }
  /**
   * Keeps a snapshot of an undamaged catalogue unless the newest one has the same contents.
   * `now`: ISO 8601, UTC.
   */
  readonly keepSnapshot: { input: { path: string; now: string }; output: null }
  /** Hash of a file's bytes; SHA-256 unless another algorithm is named. */
  readonly hashFile: { input: { path: string; algorithm?: HashAlgorithm }; output: string }
  /** Makes the working copy of a FLAC take and returns its path. */
  readonly unpackTake: { input: { path: string; sha256: string; workingFolder: string }; output: string }
  /** Hashes and measures a file; stores its peaks and print under its hash in `peaksFolder`, if given. */
  readonly measureTake: {
    input: { path: string; workingFolder: string; peaksFolder: string | null }
    output: MeasuredFile
  }
  /** Makes the print of a file and stores it in `peaksFolder`; does nothing if the file cannot be read. */
  readonly makePrint: { input: { take: NamedTake; workingFolder: string; peaksFolder: string }; output: null }
  /** Which takes may contain the same performance as a new one. Runs on the thread that caches the prints. */
  readonly findPrintCandidates: { input: PrintQuestion; output: PrintCandidates }
  /** Which of a few takes contain the same performance as `take`, to the sample; makes missing prints. */
  readonly findSamePerformance: {
    input: {
      take: NamedTake & { readonly phrases: readonly Span[] }
      others: readonly NamedTake[]
      /** From the output of findPrintCandidates. */
      longestBits: number
      workingFolder: string
      peaksFolder: string
    }
    output: readonly Finding[]
  }
  readonly bounceUnit: {
    input: {
      plan: RenderPlan
      unitIndex: number
      stems: readonly StemOrder[]
      /** null: the job measures it. */
      ceilingTrimDb: number | null
      takePaths: TakePaths
      /** What of the plan the stems hold, and their rate. */
      span: FileSpan
    }
    output: WrittenUnit
  }
  /** Writes the whole stack as one file. */
  readonly bounceStack: {
    input: {
      plan: RenderPlan
      order: FileOrder
      /** Of each unit; null: the job measures it. */
      ceilingTrimsDb: readonly (number | null)[]
      takePaths: TakePaths
      span: FileSpan
    }
    output: WrittenStack
  }
  /** Renders groups of a stack for the job that measures it. */
  readonly passStack: {
    input: { plan: RenderPlan; takePaths: TakePaths; passed: PassedSound }
    output: null
  }
  /** Measures from `fromFrame` to the end of the plan. `passed`: the sum of groups that another job renders. */
  readonly measureStack: {
    input: { plan: RenderPlan; fromFrame: number; takePaths: TakePaths; passed: PassedSound | null }
    output: StackMeasurement
  }
  /** Null where nothing is heard in the range. `isAlone`: without a second thread. */
  readonly checkStack: {
    input: { plan: RenderPlan; range: CheckedFrames; takePaths: TakePaths; isAlone: boolean }
    output: CheckedStack | null
  }
  readonly measureChain: {
    input: {
      sound: MeasuredSound
      sampleRateHz: number
      stages: readonly StageToMeasure[]
      range: StageRange
      options: MeasureOptions
      passed: PassedSound | null
    }
    output: JointsPart
  }
  readonly matchDrive: {
    input: { path: string; sampleRateHz: number; before: readonly StageSetup[]; drive: DriveSettings }
    output: number | null
  }
  readonly renderVoiceTake: { input: VoiceTake; output: null }
}

/** Names of the jobs. */
export type JobName = keyof Jobs

/** What a thread receives for one job. */
export interface JobTask<N extends JobName> {
  readonly input: Jobs[N]['input']
  /** Index 0 becomes 1 when the job is cancelled. */
  readonly cancel: Int32Array<SharedArrayBuffer>
  /** Index 0 is the fraction done. */
  readonly progress: Float64Array<SharedArrayBuffer>
}

/** Failures travel between threads as data, because errors lose their class there. */
export type JobAnswer<N extends JobName> =
  | { readonly ok: true; readonly output: Jobs[N]['output'] }
  | { readonly ok: false; readonly failure: FailureData }
