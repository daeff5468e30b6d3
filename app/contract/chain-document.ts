// The chain file: an ordered list of stages with their settings. The schemas here are
// the only description of it; the JSON Schema under resources/ is generated from them.

import { z } from 'zod'
import type {
  CeilingSettings,
  DeEssSettings,
  DriveSettings,
  Band as EngineBand,
  ExpanderSettings,
  LowCutSettings,
  OptoSettings,
  StageKind,
  ToneSettings,
  TrimSettings,
} from '../dsp/stages/settings.ts'
import { CurvePoints } from './curve.ts'
import { Failure } from './failure.ts'
import { listOf, wellFormed } from './text/bounded.ts'
import { MAX_BANDS, MAX_NAME, MAX_STAGES } from './text/limits.ts'

/** The `format` and newest `version` of a chain file. */
export const CHAIN_FORMAT = 'takeloft-chain'
export const CHAIN_FORMAT_VERSION = 1

/** Above this a shelf rings, and near half the sample rate no single section follows its prototype. */
export const MAX_SHELF_Q = 1.4

/** A section of an equaliser: Hz, dB, and Q as in the Audio EQ Cookbook; a shelf’s Q is at most 1.4. */
export const Band = z
  .strictObject({
    shape: z.enum(['low-shelf', 'bell', 'high-shelf']),
    frequencyHz: z.number().min(20).max(20_000),
    gainDb: z.number().min(-18).max(18),
    q: z.number().min(0.1).max(12),
  })
  .refine((band) => band.shape === 'bell' || band.q <= MAX_SHELF_Q, {
    message: `the q of a shelf is at most ${MAX_SHELF_Q}`,
    path: ['q'],
  })
  .meta({ description: 'One section, in the terms of the prototypes of the W3C Audio EQ Cookbook.' })
export type Band = z.infer<typeof Band>

const Trim = z.strictObject({
  gainDb: z.number().min(-36).max(36),
  invertPolarity: z.boolean(),
})

const Expander = z.strictObject({
  thresholdDbfs: z.number().min(-90).max(0),
  ratio: z.number().min(1).max(10),
  rangeDb: z.number().min(0).max(60),
  attackMs: z.number().min(0.1).max(100),
  holdMs: z.number().min(0).max(1000),
  releaseMs: z.number().min(5).max(2000),
})

/** A low shelf for the proximity effect at the singer's distance, which no mic curve knows; never fitted. */
export const ProximityShelf = z.strictObject({
  frequencyHz: z.number().min(40).max(600),
  gainDb: z.number().min(-12).max(12),
  q: z.number().min(0.1).max(1),
})
export type ProximityShelf = z.infer<typeof ProximityShelf>

/** Initial values of a proximity shelf that is set by ear; common practice. */
export const STARTING_PROXIMITY: ProximityShelf = { frequencyHz: 160, gainDb: -3, q: 0.5 }

/** The target and the limits of the correction; the bands are fitted for the take's mic. */
export const MicCorrectionAims = z.strictObject({
  /** null aims at a flat response. */
  target: z.strictObject({ name: wellFormed(MAX_NAME), curve: CurvePoints }).nullable(),
  amountPercent: z.number().min(0).max(100),
  maxBoostDb: z.number().min(0).max(12),
  maxCutDb: z.number().min(0).max(18),
  fromHz: z.number().min(20).max(1000),
  toHz: z.number().min(2000).max(20_000),
  maxBands: z.int().min(1).max(MAX_BANDS),
  /** Absent means none, as in chain files older than this setting. */
  proximity: ProximityShelf.optional(),
})

const LowCut = z.strictObject({
  frequencyHz: z.number().min(16).max(400),
  slopeDbPerOctave: z.union([z.literal(12), z.literal(24)]),
})

const Tone = z.strictObject({ bands: listOf(Band, MAX_BANDS) })

const DeEss = z.strictObject({
  shape: z.enum(['high-shelf', 'bell']),
  frequencyHz: z.number().min(2000).max(12_000),
  thresholdDb: z.number().min(-30).max(30),
  rangeDb: z.number().min(0).max(18),
})

const Drive = z.strictObject({
  amountDb: z.number().min(0).max(24),
  referenceDbfs: z.number().min(-48).max(0),
  evenPercent: z.number().min(0).max(100),
  mixPercent: z.number().min(0).max(100),
  outputDb: z.number().min(-24).max(24),
})

const Opto = z.strictObject({
  thresholdDbfs: z.number().min(-60).max(0),
  ratio: z.number().min(1).max(20),
  kneeDb: z.number().min(0).max(24),
  attackMs: z.number().min(1).max(200),
  releaseMs: z.number().min(20).max(500),
  recoverySeconds: z.number().min(0.5).max(5),
  makeUpDb: z.number().min(-12).max(24),
})

const Ceiling = z.strictObject({
  ceilingDbtp: z.number().min(-24).max(0),
  lookAheadMs: z.number().min(1.5).max(5),
  releaseMs: z.number().min(10).max(1000),
})

/** The schema of the settings of each kind of stage; units are in the names. */
export const stageSettings = {
  trim: Trim,
  expander: Expander,
  'mic-correction': MicCorrectionAims,
  'low-cut': LowCut,
  tone: Tone,
  'de-ess': DeEss,
  drive: Drive,
  opto: Opto,
  ceiling: Ceiling,
} as const satisfies Record<StageKind, z.ZodType>

const stageOf = <K extends StageKind, S extends z.ZodType>(kind: K, settings: S) =>
  z.strictObject({ kind: z.literal(kind), on: z.boolean(), settings })

/** One stage of a chain; a stage that is off keeps its settings. */
export const ChainStage = z.discriminatedUnion('kind', [
  stageOf('trim', Trim),
  stageOf('expander', Expander),
  stageOf('mic-correction', MicCorrectionAims),
  stageOf('low-cut', LowCut),
  stageOf('tone', Tone),
  stageOf('de-ess', DeEss),
  stageOf('drive', Drive),
  stageOf('opto', Opto),
  stageOf('ceiling', Ceiling),
])
export type ChainStage = z.infer<typeof ChainStage>
export type MicCorrectionAims = z.infer<typeof MicCorrectionAims>

// Compile-time check that the engine's settings types match the schemas.
null as unknown as {
  band: z.infer<typeof Band>
  trim: z.infer<typeof Trim>
  expander: z.infer<typeof Expander>
  lowCut: z.infer<typeof LowCut>
  tone: z.infer<typeof Tone>
  deEss: z.infer<typeof DeEss>
  drive: z.infer<typeof Drive>
  opto: z.infer<typeof Opto>
  ceiling: z.infer<typeof Ceiling>
} satisfies {
  band: EngineBand
  trim: TrimSettings
  expander: ExpanderSettings
  lowCut: LowCutSettings
  tone: ToneSettings
  deEss: DeEssSettings
  drive: DriveSettings
  opto: OptoSettings
  ceiling: CeilingSettings
}

/** The kinds that run on each layer before the layers of a group are summed. */
const LAYER_STAGE_KINDS: readonly StageKind[] = ['trim', 'expander', 'mic-correction']

/** Whether a stage runs on each layer before the sum. */
export const isLayerStage = (stage: { kind: StageKind }): boolean => LAYER_STAGE_KINDS.includes(stage.kind)

/** The stages of a chain in order; those that run before the sum come first. */
export const ChainStages = listOf(ChainStage, MAX_STAGES).refine(
  (stages) => stages.every((stage, i) => !isLayerStage(stage) || i === 0 || isLayerStage(stages[i - 1])),
  {
    message:
      'trim, expander and mic-correction run on each layer before the sum, so they must come before the other stages',
  },
)
export type ChainStages = z.infer<typeof ChainStages>

/** A chain file. */
export const ChainDocument = z
  .strictObject({
    format: z.literal(CHAIN_FORMAT),
    version: z.literal(CHAIN_FORMAT_VERSION),
    name: wellFormed(MAX_NAME).min(1),
    stages: ChainStages,
  })
  .meta({ title: 'Takeloft chain', description: 'An ordered list of stages with their settings.' })
export type ChainDocument = z.infer<typeof ChainDocument>

/** Settings of a new stage; common practice unless noted otherwise. */
export const defaultStages: { readonly [K in StageKind]: Extract<ChainStage, { kind: K }> } = {
  trim: { kind: 'trim', on: true, settings: { gainDb: 0, invertPolarity: false } },
  expander: {
    kind: 'expander',
    on: true,
    settings: { thresholdDbfs: -50, ratio: 2, rangeDb: 12, attackMs: 2, holdMs: 120, releaseMs: 180 },
  },
  'mic-correction': {
    kind: 'mic-correction',
    on: true,
    settings: {
      target: null,
      amountPercent: 100,
      maxBoostDb: 4,
      maxCutDb: 9,
      fromHz: 50,
      toHz: 16_000,
      maxBands: 8,
    },
  },
  'low-cut': { kind: 'low-cut', on: true, settings: { frequencyHz: 80, slopeDbPerOctave: 12 } },
  tone: {
    kind: 'tone',
    on: true,
    settings: {
      bands: [
        { shape: 'bell', frequencyHz: 250, gainDb: -2, q: 1 },
        { shape: 'bell', frequencyHz: 3150, gainDb: -2, q: 2 },
        { shape: 'high-shelf', frequencyHz: 10_000, gainDb: 2, q: Math.SQRT1_2 },
      ],
    },
  },
  'de-ess': {
    kind: 'de-ess',
    on: true,
    settings: { shape: 'high-shelf', frequencyHz: 5000, thresholdDb: 0, rangeDb: 6 },
  },
  drive: {
    kind: 'drive',
    on: true,
    settings: { amountDb: 3, referenceDbfs: -12, evenPercent: 20, mixPercent: 100, outputDb: 0 },
  },
  opto: {
    kind: 'opto',
    on: true,
    settings: {
      thresholdDbfs: -24,
      ratio: 4,
      kneeDb: 10,
      attackMs: 10,
      releaseMs: 60,
      recoverySeconds: 3,
      makeUpDb: 0,
    },
  },
  ceiling: { kind: 'ceiling', on: true, settings: { ceilingDbtp: -1, lookAheadMs: 2, releaseMs: 80 } },
}

/** Reads only the kinds, so that an error can name an unknown one; the list length is checked later. */
const KindsOfStages = z.object({
  stages: z
    .array(z.unknown())
    .transform((stages) => stages.slice(0, MAX_STAGES))
    .pipe(z.array(z.object({ kind: z.string() }))),
})

/** How many characters an error message quotes from a file. */
const MAX_QUOTED_KIND = 60
const MAX_QUOTED_ISSUE = 300

const shortened = (text: string, most: number): string =>
  text.length <= most ? text : `${text.slice(0, most)}…`

/**
 * A parsed JSON value as a chain document.
 * @param where what to call the source in the error message, e.g. the file's path
 * @throws Failure `newer-version`, `unknown-stage` or `invalid-input`
 */
export function parseChainDocument(value: unknown, where: string): ChainDocument {
  const head = z.object({ format: z.literal(CHAIN_FORMAT), version: z.int().min(1) }).safeParse(value)
  if (!head.success) throw notAChain(head.error, where)
  // Checked first, because a newer version may have a different structure.
  if (head.data.version > CHAIN_FORMAT_VERSION) {
    throw new Failure(
      'newer-version',
      `${where} has chain format version ${head.data.version}, and this Takeloft knows up to ${CHAIN_FORMAT_VERSION}; update Takeloft to use it.`,
      { where, version: head.data.version },
    )
  }
  const kinds = KindsOfStages.safeParse(value)
  if (!kinds.success) throw notAChain(kinds.error, where)
  const unknown = kinds.data.stages.find((stage) => !Object.hasOwn(stageSettings, stage.kind))
  if (unknown !== undefined) {
    throw new Failure(
      'unknown-stage',
      `${where} asks for a stage "${shortened(unknown.kind, MAX_QUOTED_KIND)}" that does not exist; the stages are ${Object.keys(stageSettings).join(', ')}.`,
      { where, stage: shortened(unknown.kind, MAX_QUOTED_KIND) },
    )
  }
  const document = ChainDocument.safeParse(value)
  if (!document.success) {
    throw new Failure('invalid-input', `${where} cannot be used as a chain: ${sentenceOf(document.error)}.`, {
      where,
    })
  }
  return document.data
}

const notAChain = (error: z.ZodError, where: string): Failure =>
  new Failure(
    'invalid-input',
    `${where} is not a Takeloft chain: ${sentenceOf(error)}. Choose a chain file that Takeloft saved, or see resources/chain.schema.json.`,
    { where },
  )

/** The first issue of a schema error as part of a sentence: where it is and what is wrong. */
export function sentenceOf(error: z.ZodError): string {
  const issue = error.issues[0]
  const path = issue.path
    .map((part) => (typeof part === 'number' ? `[${part}]` : `.${String(part)}`))
    .join('')
  const place = path === '' ? '' : `at ${path.replace(/^\./, '')}: `
  const isMissing = issue.code === 'invalid_type' && issue.message.endsWith('received undefined')
  const what = isMissing ? `it is missing, ${issue.expected} expected` : issue.message
  return shortened(`${place}${what.charAt(0).toLowerCase()}${what.slice(1)}`, MAX_QUOTED_ISSUE)
}
