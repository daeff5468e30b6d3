// The numbers of each stage by name and unit. Bands, target curves and shapes have words of their own.

import type { ChainStage } from '../../contract/chain-document.ts'

/** Kind of a stage, as in a chain file. */
export type StageKind = ChainStage['kind']

/** Units that the numbers of stages have; '' for counts. */
type SettingUnit = 'dB' | 'dBFS' | 'dBTP' | 'Hz' | 'ms' | 's' | '%' | ':1' | ''

/** One number of a stage. */
export interface NamedSetting {
  /** Name of the property in the stage's settings. */
  readonly key: string
  readonly label: string
  readonly unit: SettingUnit
  /** The finest change that matters, in `unit`. */
  readonly step: number
  /** Decimal places shown. */
  readonly places: number
  readonly isFrequency: boolean
}

const SETTINGS: Readonly<
  Record<StageKind, readonly (readonly [key: string, label: string, unit: SettingUnit, step: number])[]>
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

const placesOf = (step: number): number => (step % 1 === 0 ? 0 : 1)

/** The numbers of a kind of stage, in the order they are shown. */
export const settingsOfKind = (kind: StageKind): readonly NamedSetting[] =>
  SETTINGS[kind].map(([key, label, unit, step]) => ({
    key,
    label,
    unit,
    step,
    // Levels show tenths even where the arrow keys step by whole dB, since typed values are kept.
    places: unit.startsWith('dB') ? 1 : placesOf(step),
    isFrequency: unit === 'Hz',
  }))

/** @param key of a setting of the stage's kind */
export const readSetting = (stage: ChainStage, key: string): number =>
  (stage.settings as unknown as Record<string, number>)[key]!
