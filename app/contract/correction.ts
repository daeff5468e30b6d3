// The result and the residual of a mic correction, and the effect of carrying a chain to another mic.

import { z } from 'zod'
import { Band, ChainStages, MicCorrectionAims, ProximityShelf } from './chain-document.ts'
import { CurvePoints } from './curve.ts'

/**
 * The bands of a correction with the wanted and the resulting curve; errors in dB over the corrected range.
 */
export const CorrectionFit = z.object({
  bands: z.array(Band),
  wanted: CurvePoints,
  fitted: CurvePoints,
  rmsErrorDb: z.number(),
  maxErrorDb: z.number(),
})
export type CorrectionFit = z.infer<typeof CorrectionFit>

/** A fit for one mic with its residual and its cautions. */
export const MicCorrectionFit = CorrectionFit.extend({
  /** Residual: wanted minus fitted, dB. */
  leftOver: CurvePoints,
  /** Response of the whole stage: fitted, plus the proximity shelf if there is one. */
  whole: CurvePoints,
  /** The range where both curves have data and the correction may act. */
  fromHz: z.number(),
  toHz: z.number(),
  /** What this correction cannot account for, in sentences. */
  cautions: z.array(z.string()),
})
export type MicCorrectionFit = z.infer<typeof MicCorrectionFit>

/** A starting value for the proximity shelf. */
export const ProximityProposal = z.object({
  /** null if the pattern has no proximity effect or is not known, or if the distances are alike. */
  shelf: ProximityShelf.nullable(),
  /** Where the number comes from, or why there is none. */
  evidence: z.string(),
})
export type ProximityProposal = z.infer<typeof ProximityProposal>

/** Whether the correction keeps its target, or aims at the sound of the corrected old mic. */
export const CarryAim = z.enum(['as it is', 'the sound so far'])
export type CarryAim = z.infer<typeof CarryAim>

/** How far the correction of the new mic may go: dB, Hz, number of bands. */
export const CarryLimits = MicCorrectionAims.pick({
  maxBoostDb: true,
  maxCutDb: true,
  fromHz: true,
  toHz: true,
  maxBands: true,
})
export type CarryLimits = z.infer<typeof CarryLimits>

/** A chain carried to another mic, with the difference in dB that remains. */
export const CarryPlan = z.object({
  aim: CarryAim,
  stages: ChainStages,
  /** False: the chain stays as it is, and only the bands fitted for the mic differ. */
  changesChain: z.boolean(),
  limits: CarryLimits,
  oldBands: z.array(Band),
  newBands: z.array(Band),
  /** Mic, correction, low-cut and tone together, 0 dB on the mean of 300 to 3000 Hz. */
  oldTotal: CurvePoints,
  newTotal: CurvePoints,
  /** New minus old. */
  difference: CurvePoints,
  /** The range of the figures below: 80 Hz to 12 kHz where both curves have data. */
  fromHz: z.number(),
  toHz: z.number(),
  rmsDb: z.number(),
  maxDb: z.number(),
  maxAtHz: z.number(),
  remarks: z.array(z.string()),
})
export type CarryPlan = z.infer<typeof CarryPlan>
