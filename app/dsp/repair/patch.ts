// A repair as a patch: what part of a take it replaces, how much around that it reads, and the samples it
// puts there. A patch is a pure function of the take, its span and its parameters, so it can be made again
// anywhere before the first stage. Everything outside its span stays bit-identical.

/**
 * What can be mended, in this order; the words of the command line's options. Clipped samples show the limit
 * only before anything else is changed, and hum goes before what is turned down with it.
 */
export const REPAIR_KINDS = ['clipped', 'clicks', 'hum', 'pops', 'breaths'] as const
export type RepairKind = (typeof REPAIR_KINDS)[number]

/** Why something that was found is left alone. */
export type RefusalReason =
  | 'silent'
  | 'too-short'
  | 'not-one-voice'
  | 'no-pauses'
  | 'too-long'
  | 'too-deep'
  | 'no-surroundings'
  | 'bent-tops'
  | 'still-heard'
  | 'voice-too-low'
  | 'pop-unchanged'
  | 'not-mains'
  | 'wrong-rate'
  | 'hum-unchanged'
  | 'beside-the-end'

/** A span of the take in frames and the samples that replace it in one channel. */
export interface MendedSpan {
  readonly from: number
  readonly samples: Float64Array
}

/** The outcome for one channel: mended, left alone because nothing is wrong there, or refused. */
export type Mending =
  | { readonly outcome: 'mended'; readonly spans: readonly MendedSpan[]; readonly amount: number }
  | { readonly outcome: 'fine' }
  | { readonly outcome: 'refused'; readonly why: RefusalReason }

/** A planned repair of a span. Hum is none: it is subtracted from the whole take. */
export interface Patch {
  readonly kind: Exclude<RepairKind, 'hum'>
  readonly fromFrame: number
  readonly toFrame: number
  /** Frames on both sides of the span that `mend` reads. */
  readonly reach: number
  /**
   * @param samples one channel of the take from `fromFrame - reach` to `toFrame + reach`, zero outside the
   *   take; the kinds before this one in REPAIR_KINDS are mended in it. It may be written to.
   */
  mend(samples: Float64Array, channel: number): Mending
}
