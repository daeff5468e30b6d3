// The settings of a stage in words: single ones to describe changes, and all of them for the
// recall sheet.

import type { Band, ChainStage } from '../../contract/chain-document.ts'
import { exactGain, exactNumber, formatFrequency, formatGain, formatNumber, withUnit } from '../format.ts'
import { type NamedSetting, readSetting, settingsOfKind } from './setting-names.ts'
import { BAND_NAMES } from './stage-words.ts'

/** The value of a field with its unit. */
export const formatSetting = (value: number, field: NamedSetting): string =>
  field.isFrequency
    ? formatFrequency(value)
    : field.unit === ':1'
      ? `${formatNumber(value, 1)}:1`
      : withUnit(formatNumber(value, field.places), field.unit)

/** A band, as in 'bell −2.0 dB at 250 Hz, Q 1.00'. */
export const bandInWords = ({ shape, frequencyHz, gainDb, q }: Band): string =>
  `${BAND_NAMES[shape].toLowerCase()} ${formatGain(gainDb)} at ${formatFrequency(frequencyHz)}, Q ${formatNumber(q, 2)}`

/** Polarity as words. */
export const polarityInWords = (isInverted: boolean): string => (isInverted ? 'inverted' : 'as recorded')

/** Slope with its unit. */
export const slopeInWords = (slopeDbPerOctave: number): string => withUnit(String(slopeDbPerOctave), 'dB/oct')

/** Name of a mic correction's target; null is a flat response. */
export const aimInWords = (target: { readonly name: string } | null): string => target?.name ?? 'flat'

/** How figures are written: as on the screen, or with every digit, from which a chain can be built again. */
export type Figures = 'shown' | 'exact'

const exactFrequency = (frequencyHz: number): string => withUnit(exactNumber(frequencyHz), 'Hz')

const settingIn = (figures: Figures, value: number, field: NamedSetting): string => {
  if (figures === 'shown') return formatSetting(value, field)
  if (field.isFrequency) return exactFrequency(value)
  return field.unit === ':1'
    ? `${exactNumber(value, 1)}:1`
    : withUnit(exactNumber(value, field.places), field.unit)
}

const bandIn = (figures: Figures, band: Band): string => {
  if (figures === 'shown') return bandInWords(band)
  const { shape, frequencyHz, gainDb, q } = band
  return `${BAND_NAMES[shape].toLowerCase()} ${exactGain(gainDb)} at ${exactFrequency(frequencyHz)}, Q ${exactNumber(q, 2)}`
}

/** Bands, one entry each. */
export const bandsInWords = (bands: readonly Band[], figures: Figures = 'shown'): readonly string[] =>
  bands.map((band, i) => `Band ${i + 1}: ${bandIn(figures, band)}`)

/** All settings of a stage, one entry each, with name and unit. */
export function settingsInWords(stage: ChainStage, figures: Figures = 'shown'): readonly string[] {
  const numbers = settingsOfKind(stage.kind).map(
    (field) => `${field.label} ${settingIn(figures, readSetting(stage, field.key), field)}`,
  )
  switch (stage.kind) {
    case 'trim':
      return [...numbers, `Polarity ${polarityInWords(stage.settings.invertPolarity)}`]
    case 'low-cut':
      return [...numbers, `Slope ${slopeInWords(stage.settings.slopeDbPerOctave)}`]
    case 'de-ess':
      return [`Shape ${BAND_NAMES[stage.settings.shape].toLowerCase()}`, ...numbers]
    case 'tone':
      return stage.settings.bands.length === 0 ? ['no bands'] : bandsInWords(stage.settings.bands, figures)
    case 'mic-correction': {
      const { target, proximity } = stage.settings
      const shelf =
        proximity === undefined ? [] : [`Proximity ${bandIn(figures, { shape: 'low-shelf', ...proximity })}`]
      return [`Target ${aimInWords(target)}`, ...numbers, ...shelf]
    }
    case 'expander':
    case 'drive':
    case 'opto':
    case 'ceiling':
      return numbers
  }
}
