// Names and purposes of the stages, and their settings in one line.

import type { ChainStage } from '../../contract/chain-document.ts'
import { formatFrequency, formatGain, formatNumber, withUnit } from '../format.ts'
import type { StageKind } from './setting-names.ts'

/** Name of each kind of stage. */
export const STAGE_NAMES: Readonly<Record<StageKind, string>> = {
  trim: 'Trim',
  expander: 'Expander',
  'mic-correction': 'Mic correction',
  'low-cut': 'Low-cut',
  tone: 'Tone',
  'de-ess': 'De-ess',
  drive: 'Drive',
  opto: 'Opto',
  ceiling: 'Ceiling',
}

/** What each kind of stage does, without a full stop. */
export const STAGE_PURPOSES: Readonly<Record<StageKind, string>> = {
  trim: 'Sets the input level and polarity',
  expander: 'Turns down the room between phrases',
  'mic-correction': 'Compensates for the microphone of the take',
  'low-cut': 'Removes rumble',
  tone: 'Bells and shelves: cut mud and harsh bands, add air',
  'de-ess': 'Reduces sibilance while it sounds',
  drive: 'Adds harmonic saturation',
  opto: 'Levels slowly, with a soft knee and program-dependent release',
  ceiling: 'Limits true peaks',
}

/** Name of each band shape. */
export const BAND_NAMES = { 'low-shelf': 'Low shelf', bell: 'Bell', 'high-shelf': 'High shelf' } as const

/** A compression ratio, as in 4:1 or 2.5:1. */
export const formatRatio = (ratio: number): string => `${formatNumber(ratio, ratio % 1 === 0 ? 0 : 1)}:1`

/**
 * The main settings in a few words.
 * @param isShort leaves out what does not fit two short lines
 */
export function summaryOf(stage: ChainStage, isShort = false): string {
  switch (stage.kind) {
    case 'trim':
      return `${formatGain(stage.settings.gainDb)}${stage.settings.invertPolarity ? ', polarity inverted' : ''}`
    case 'expander': {
      const { thresholdDbfs, ratio } = stage.settings
      return `${formatRatio(ratio)} below ${withUnit(formatNumber(thresholdDbfs, 0), 'dBFS')}`
    }
    case 'mic-correction': {
      const { target, amountPercent, proximity } = stage.settings
      const shelf = proximity === undefined || isShort ? '' : `, proximity ${formatGain(proximity.gainDb)}`
      return `to ${target === null ? 'flat' : target.name}${amountPercent === 100 ? '' : `, ${withUnit(formatNumber(amountPercent, 0), '%')}`}${shelf}`
    }
    case 'low-cut':
      return `${formatFrequency(stage.settings.frequencyHz)}, ${withUnit(String(stage.settings.slopeDbPerOctave), 'dB/oct')}`
    case 'tone': {
      const { bands } = stage.settings
      if (bands.length === 0) return 'no bands'
      const strongest = bands.reduce((most, band) =>
        Math.abs(band.gainDb) > Math.abs(most.gainDb) ? band : most,
      )
      const count = bands.length === 1 ? '1 band' : `${bands.length} bands`
      return `${count}, up to ${formatGain(strongest.gainDb)}`
    }
    case 'de-ess': {
      const { shape, frequencyHz, rangeDb } = stage.settings
      return `${shape === 'bell' ? 'bell at' : 'from'} ${formatFrequency(frequencyHz)}, ${withUnit(formatNumber(rangeDb, 0), 'dB')} max`
    }
    case 'drive': {
      const { amountDb, evenPercent, mixPercent } = stage.settings
      const even = evenPercent === 0 ? '' : `, ${withUnit(formatNumber(evenPercent, 0), '%')} even`
      const mix =
        mixPercent === 100 || (isShort && even !== '')
          ? ''
          : `, mix ${withUnit(formatNumber(mixPercent, 0), '%')}`
      return `${withUnit(formatNumber(amountDb, 1), 'dB')}${even}${mix}`
    }
    case 'opto': {
      const { ratio, thresholdDbfs } = stage.settings
      return `${formatRatio(ratio)} above ${withUnit(formatNumber(thresholdDbfs, 0), 'dBFS')}`
    }
    case 'ceiling':
      return withUnit(formatNumber(stage.settings.ceilingDbtp, 1), 'dBTP')
  }
}
