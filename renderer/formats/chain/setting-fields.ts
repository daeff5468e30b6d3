// Number fields of each stage: label, unit, step, and the bounds of the contract's schema. Bands,
// target curves and shapes have their own editors.

import { type ChainStage, stageSettings } from '../../../app/contract/chain-document.ts'
import { type Bounds, boundsOf } from '../bounds.ts'
import type { Unit } from '../typed-number.ts'
import type { StageKind } from './chain-rows.ts'

/** A number field for one setting of a stage. */
export interface SettingField {
  /** Name of the property in the stage's settings. */
  readonly key: string
  readonly label: string
  readonly unit: Unit
  /** Change per arrow key press, in `unit`. */
  readonly step: number
  /** Decimal places shown. */
  readonly places: number
  readonly min: number
  readonly max: number
  /** Stepped through the preferred third-octave frequencies. */
  readonly isFrequency: boolean
}

const FIELDS: Readonly<
  Record<StageKind, readonly (readonly [key: string, label: string, unit: Unit, step: number])[]>
> = {
  trim: [['gainDb', 'Gain', 'dB', 0.5]],
  expander: [
    ['thresholdDbfs', 'Threshold', 'dBFS', 1],
    ['ratio', 'Ratio', ':1', 0.1],
    ['rangeDb', 'Range', 'dB', 1],
    ['attackMs', 'Attack', 'ms', 0.5],
    ['holdMs', 'Hold', 'ms', 10],
    ['releaseMs', 'Release', 'ms', 10],
  ],
  'mic-correction': [
    ['amountPercent', 'Amount', '%', 5],
    ['maxBands', 'Max bands', '', 1],
    ['maxBoostDb', 'Max boost', 'dB', 0.5],
    ['maxCutDb', 'Max cut', 'dB', 0.5],
    ['fromHz', 'From', 'Hz', 1],
    ['toHz', 'To', 'Hz', 1],
  ],
  'low-cut': [['frequencyHz', 'Frequency (−3 dB)', 'Hz', 1]],
  tone: [],
  'de-ess': [
    ['frequencyHz', 'Frequency', 'Hz', 1],
    ['thresholdDb', 'Threshold', 'dB', 0.5],
    ['rangeDb', 'Range', 'dB', 0.5],
  ],
  drive: [
    ['amountDb', 'Amount', 'dB', 0.5],
    ['referenceDbfs', 'Reference', 'dBFS', 1],
    ['evenPercent', 'Even harmonics', '%', 5],
    ['mixPercent', 'Mix', '%', 5],
    ['outputDb', 'Output', 'dB', 0.5],
  ],
  opto: [
    ['thresholdDbfs', 'Threshold', 'dBFS', 1],
    ['ratio', 'Ratio', ':1', 0.1],
    ['kneeDb', 'Knee', 'dB', 1],
    ['makeUpDb', 'Make-up', 'dB', 0.5],
    ['attackMs', 'Attack', 'ms', 1],
    ['releaseMs', 'Release, fast half', 'ms', 5],
    ['recoverySeconds', 'Release, slow half', 's', 0.1],
  ],
  ceiling: [
    ['ceilingDbtp', 'Ceiling', 'dBTP', 0.1],
    ['lookAheadMs', 'Look-ahead', 'ms', 0.1],
    ['releaseMs', 'Release', 'ms', 5],
  ],
}

/** Bounds of one number of a stage. */
export function rangeOf(kind: StageKind, key: string): Bounds {
  const shape: Readonly<Record<string, unknown>> = stageSettings[kind].shape
  return boundsOf(shape[key] as Parameters<typeof boundsOf>[0])
}

const placesOf = (step: number): number => (step % 1 === 0 ? 0 : 1)

/** Fields of a kind of stage, in the order they are shown. */
export const fieldsOf = (kind: StageKind): readonly SettingField[] =>
  FIELDS[kind].map(([key, label, unit, step]) => ({
    key,
    label,
    unit,
    step,
    // Levels show tenths even where the arrow keys step by whole dB, since typed values are kept.
    places: unit.startsWith('dB') ? 1 : placesOf(step),
    ...rangeOf(kind, key),
    isFrequency: unit === 'Hz',
  }))

/** @param key of a field of the stage's kind */
export const readSetting = (stage: ChainStage, key: string): number =>
  (stage.settings as unknown as Record<string, number>)[key]

/** The stage with some settings changed. Bounds are checked when the chain is saved. */
export const withSettings = <S extends ChainStage>(stage: S, changes: Partial<S['settings']>): S => ({
  ...stage,
  settings: { ...stage.settings, ...changes },
})
