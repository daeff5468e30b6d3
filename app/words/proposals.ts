// The evidence for a proposed stage in sentences: what was measured, and the setting that follows.

import type { Evidence, VoiceAnalysed } from '../contract/voice-analysis.ts'
import { countOf, hertz } from './numbers.ts'

type Band = keyof VoiceAnalysed['bands']

const BANDS: Readonly<Record<Band, string>> = {
  warmthDb: 'The warmth (100 to 250 Hz)',
  mudDb: 'The mud (200 to 500 Hz)',
  boxyDb: 'The box (400 to 800 Hz)',
  nasalDb: 'The nasal band (0.8 to 1.6 kHz)',
  harshDb: 'The harsh band (2 to 5 kHz)',
  airDb: 'The air (10 to 16 kHz)',
}

/** One sentence. */
export function evidenceSentence(evidence: Evidence): string {
  switch (evidence.kind) {
    case 'pitch-range':
      return `5 % of the pitch is below ${hertz(evidence.p5Hz)}, so the low-cut starts at ${hertz(evidence.frequencyHz)}.`
    case 'rumble':
      return `In the pauses the 50 Hz band is ${evidence.underVoiceDb.toFixed(0)} dB under the voice, so the slope is ${evidence.slopeDbPerOctave} dB per octave.`
    case 'resonance':
      return `${hertz(evidence.frequencyHz)} stands out by ${evidence.prominenceDb.toFixed(1)} dB in ${evidence.persistencePercent.toFixed(0)} % of the seconds, more than a formant would, and is not a harmonic, so a bell cuts ${(-evidence.gainDb).toFixed(1)} dB.`
    case 'new-resonance':
      return `${hertz(evidence.frequencyHz)} stands out by ${evidence.excessDb.toFixed(1)} dB more than in ${evidence.earlierTakes} earlier takes and is not a harmonic, so a bell cuts ${(-evidence.gainDb).toFixed(1)} dB.`
    case 'balance': {
      const { band, excessDb, spreadDb, earlierTakes, frequencyHz, gainDb } = evidence
      const side = excessDb > 0 ? 'stronger' : 'weaker'
      const shape = band === 'airDb' ? 'high shelf' : 'bell'
      const act = `${gainDb > 0 ? 'adds' : 'cuts'} ${Math.abs(gainDb).toFixed(1)} dB`
      return `${BANDS[band]} is ${Math.abs(excessDb).toFixed(1)} dB ${side} than in this voice's ${earlierTakes} earlier takes (standard deviation ${spreadDb.toFixed(1)} dB), so a ${shape} at ${hertz(frequencyHz)} ${act}.`
    }
    case 'sibilant-peak':
      return `${countOf(evidence.events, 'sibilant')} peak at ${hertz(evidence.peakHz)} (median), so a ${evidence.shape === 'bell' ? 'bell' : 'high shelf'} at ${hertz(evidence.frequencyHz)} reduces them.`
    case 'hot-sibilants':
      return `${evidence.events} of them ${evidence.events === 1 ? 'is' : 'are'} more than 4 dB over the singer's own upper quartile, so it may reduce by ${evidence.rangeDb} dB.`
    case 'stronger-sibilants':
      return `The sibilants are ${evidence.excessDb.toFixed(1)} dB stronger than in this voice's ${evidence.earlierTakes} earlier takes, so it may reduce by ${evidence.rangeDb} dB.`
    case 'sibilant-ratio':
      return `95 % of the vowels stay under a ratio of ${evidence.vowelRatioP95Db.toFixed(0)} dB and the sibilants reach ${evidence.sibilantRatioDb.toFixed(0)} dB, so it acts above ${evidence.thresholdDb} dB and reduces by ${evidence.rangeDb} dB at most.`
    case 'dynamic-range':
      return `Loud moments reach ${evidence.loudDbfs.toFixed(0)} dBFS and the softest tenth of the singing is ${evidence.rangeDb.toFixed(0)} dB lower, so ${evidence.ratio}:1 from ${evidence.thresholdDbfs} dBFS reduces loud phrases by about ${evidence.reductionDb.toFixed(0)} dB and leaves soft ones nearly alone.`
    case 'levelling':
      return `Run on this take, it reduces half of the singing by ${evidence.medianReductionDb.toFixed(1)} dB or less and the loudest tenth by ${evidence.loudReductionDb.toFixed(1)} dB or more.`
    case 'little-air':
      return `The air (10 to 16 kHz) is ${evidence.underBodyDb.toFixed(0)} dB under the body, and the noise is ${evidence.snrDb.toFixed(0)} dB or more under it, so a high shelf at ${hertz(evidence.frequencyHz)} adds ${evidence.gainDb.toFixed(1)} dB.`
    case 'dark-voice':
      return `The edge (2 to 5 kHz) is ${(-evidence.edgeDb).toFixed(0)} dB under the body and the pauses are ${evidence.snrDb.toFixed(0)} dB under the voice, so ${evidence.amountDb} dB of drive may add harmonics; whether it suits the song is a matter of taste.`
    case 'peaks': {
      const { peakDbfs, usualPeakDbfs, ceilingDbtp } = evidence
      return `Behind the opto the highest peak is at ${peakDbfs.toFixed(1)} dBFS and 99 % of the peaks stay under ${usualPeakDbfs.toFixed(1)} dBFS, so a ceiling of ${ceilingDbtp.toFixed(1)} dBTP holds the rest.`
    }
  }
}
