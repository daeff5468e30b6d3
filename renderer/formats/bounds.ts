// Bounds of typed and dragged values, read from the contract's schemas, so that a field allows
// exactly what the services accept.

import { Band, ProximityShelf } from '../../app/contract/chain-document.ts'
import { CurveFrequencyHz, CurveLevelDb } from '../../app/contract/curve.ts'
import { GroupGainDb, LayerFields, Session, TempoChange } from '../../app/contract/entities.ts'

/** Minimum and maximum, both inclusive. */
export interface Bounds {
  readonly min: number
  readonly max: number
}

interface NumberSchema {
  readonly minValue: number | null
  readonly maxValue: number | null
}

/**
 * @param schema of a number with both bounds, which may have a default
 * @throws Error where a bound is missing
 */
export function boundsOf(schema: NumberSchema | { unwrap(): NumberSchema }): Bounds {
  const { minValue, maxValue } = 'unwrap' in schema ? schema.unwrap() : schema
  if (typeof minValue !== 'number' || typeof maxValue !== 'number') throw new Error('a number without bounds')
  return { min: minValue, max: maxValue }
}

/** In BPM. */
export const TEMPO_BOUNDS = boundsOf(Session.shape.tempoBpm)
/** Beats per bar, whole numbers. */
export const BEATS_BOUNDS = boundsOf(Session.shape.beatsPerBar)
/** Bars at which the tempo may change. */
export const CHANGE_BAR_BOUNDS = boundsOf(TempoChange.shape.bar)

/** Of the time of day at which a song starts, in seconds. */
export const START_OF_DAY_BOUNDS = boundsOf(Session.shape.startOfDayS)

/** In dB. */
export const GROUP_GAIN_BOUNDS = boundsOf(GroupGainDb)
/** In dB. */
export const LAYER_GAIN_BOUNDS = boundsOf(LayerFields.shape.gainDb)
/** From -1, left, to 1, right. */
export const PAN_BOUNDS = boundsOf(LayerFields.shape.pan)
/** In frames of the session. */
export const OFFSET_BOUNDS = boundsOf(LayerFields.shape.offsetSamples)

/** Of a curve point: in Hz and in dB. */
export const CURVE_BOUNDS = {
  frequencyHz: boundsOf(CurveFrequencyHz),
  levelDb: boundsOf(CurveLevelDb),
} as const

/** Of a tone band: in Hz, in dB, and its Q. */
export const BAND_BOUNDS = {
  frequencyHz: boundsOf(Band.shape.frequencyHz),
  gainDb: boundsOf(Band.shape.gainDb),
  q: boundsOf(Band.shape.q),
} as const

/** Of the proximity shelf: in Hz and in dB. */
export const PROXIMITY_BOUNDS = {
  frequencyHz: boundsOf(ProximityShelf.shape.frequencyHz),
  gainDb: boundsOf(ProximityShelf.shape.gainDb),
} as const
