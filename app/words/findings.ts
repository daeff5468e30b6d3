// The findings of a take in words: name, figure and threshold, what it means, what to do.

import type { Finding } from '../contract/finding.ts'
import { partOfSeconds } from '../contract/text/part-of-seconds.ts'
import { countOf } from './numbers.ts'

/** 'over-full-scale' as 'Over full scale'. */
export function findingName(kind: Finding['kind']): string {
  const words = kind.replaceAll('-', ' ').replace(/^dc\b/, 'DC')
  return words.charAt(0).toUpperCase() + words.slice(1)
}

const HINTS: readonly Finding['kind'][] = [
  'likely-compressed',
  'converted-rate',
  'lossy-coding',
  'lossy-bandwidth',
  'wrong-rate',
]

const CODERS = { mp3: 'MP3', aac: 'AAC', vorbis: 'Vorbis' } as const

/** Whether the finding is an inference rather than a measurement: something to ask about, not to act on. */
export const isHint = ({ kind }: Pick<Finding, 'kind'>): boolean => HINTS.includes(kind)

/** The figure beside its threshold: '3 clipped runs (threshold 1)', '-52.0 dBFS, limit -60.0 dBFS'. */
export function findingFigure(finding: Finding): string {
  const { value, unit, threshold } = finding
  switch (finding.kind) {
    case 'clipping':
      return `${countOf(value, 'clipped run')} (threshold ${threshold})`
    case 'clicks':
      return `${countOf(value, 'click')} (threshold ${threshold})`
    case 'pops':
      return `${countOf(value, 'pop')} (threshold ${threshold})`
    case 'opposite-channels':
      return `${countOf(value, 'channel pair')} (threshold ${threshold})`
    case 'inverted-polarity':
      return `skewness ${(-value).toFixed(2)}, upright above 0`
    case 'same-performance':
      return `correlation peak ${value.toFixed(0)} times its median (threshold ${threshold})`
    case 'noise-floor':
      return `${(-value).toFixed(1)} dB under the loud voice, limit ${(-threshold).toFixed(1)} dB`
    case 'likely-compressed':
      return `level spread ${(-value).toFixed(1)} dB, limit ${(-threshold).toFixed(1)} dB`
    case 'too-short':
      return `${(-value).toFixed(1)} s of sound, at least ${(-threshold).toFixed(1)} s needed`
    case 'cut-short':
      return `${partOfSeconds(finding.presentSeconds, finding.promisedSeconds)} are there`
    case 'reverberation':
      return `early decay ${value.toFixed(2)} s, limit ${threshold.toFixed(2)} s`
    case 'lossy-coding':
      return `${value.toFixed(1)} times as many equal coefficients as by chance (limit ${threshold})`
    case 'never-closed':
      return `${value.toFixed(1)} s up to the end of the file`
    // An edge has no threshold; the sentence of the finding states how far the spectrum falls there.
    case 'converted-rate':
    case 'lossy-bandwidth':
      return `edge at ${value.toFixed(0)} Hz`
    case 'wrong-rate':
      return `${value.toFixed(2)} Hz, mains ${threshold} Hz`
    default:
      return `${value.toFixed(1)} ${unit}, limit ${threshold.toFixed(1)} ${unit}`
  }
}

/** A finding in sentences. */
export interface FindingWords {
  /** One sentence. */
  readonly meaning: string
  /** What to do, in a sentence or two. */
  readonly remedy: string
}

/** What a finding means and what to do about it. */
export function findingWords(finding: Finding): FindingWords {
  const { value } = finding
  switch (finding.kind) {
    case 'clipping':
      return {
        meaning: `The waveform is cut flat at its local maximum (runs of ${finding.leastRunSamples} samples or more, entered at speed, or peaks that kept this shape through noise, a low-cut or a rate conversion): a stage before or in the converter overloaded, or a hard limiter was in the way.`,
        remedy:
          'Listen at the places given. If clipping is audible, use another take there, and record with more headroom; lowering the level does not restore the peaks.',
      }
    case 'over-full-scale':
      return {
        meaning:
          'The waveform exceeds full scale at or between samples, so a converter or encoder after it may clip.',
        remedy: `Lower the take by ${(Math.ceil(value * 10) / 10 + 1).toFixed(1)} dB in the trim stage to keep 1 dB of headroom, or let the ceiling stage limit it.`,
      }
    case 'dc-offset':
      return {
        meaning:
          finding.where === 'pauses'
            ? 'In the pauses the waveform is not centred on zero: this costs headroom and makes edits click.'
            : 'The waveform is not centred on zero: this costs headroom, makes edits click and makes level-dependent stages act unevenly.',
        remedy:
          'Keep the low-cut stage on, which removes the offset, and have the input it was recorded with checked.',
      }
    case 'silent':
      return value === 100
        ? {
            meaning: 'Every sample is exactly zero: nothing was recorded, or the wrong track was exported.',
            remedy: 'Export or record the take again.',
          }
        : {
            meaning:
              'Much of the take is exactly zero, which no microphone delivers: it was edited, gated or muted, and the noise floor cannot be measured there.',
            remedy:
              'Check that no phrase is missing. If one is, export the take again without muting or gating.',
          }
    case 'noise-floor':
      return {
        meaning: `The noise in the pauses (${finding.floorDbfs.toFixed(1)} dBFS) is only ${(-value).toFixed(0)} dB under the loud voice, and levelling and air will raise it.`,
        remedy:
          'Use the expander between phrases and go easy on levelling and air. In the next session raise the mic gain or find the source of the noise.',
      }
    case 'hum':
      return {
        meaning: `The pauses contain mains hum at ${finding.fundamentalHz.toFixed(2)} Hz (harmonics ${finding.harmonics.join(', ')}): a ground loop, a cable beside a power line, or an unshielded input.`,
        remedy:
          'The low-cut lowers the lowest harmonics, and the expander lowers the rest between phrases. Narrow notches at the harmonics given remove it in a restoration tool. Find the loop before the next take.',
      }
    case 'wrong-rate':
      return {
        meaning: `The take contains hum at ${value.toFixed(2)} Hz, which is not a mains frequency. Played ${finding.rateRatio.toFixed(4)} times as fast it would be ${finding.threshold} Hz, so the file probably states the wrong sample rate, and pitch and length of the voice are off.`,
        remedy:
          'Compare length and pitch with another take of the line, and export the take again at the right rate.',
      }
    case 'clicks':
      return {
        meaning:
          'The take contains clicks of under 3 ms that no voice makes: digital drop-outs, cuts without a fade, or sharp mouth noises.',
        remedy:
          'Listen at the places given. Take those words from another take, cut and fade there, or repair them in a restoration tool.',
      }
    case 'pops':
      return {
        meaning:
          'Breath hit the capsule: thumps below 80 Hz that drown the voice for a moment, mostly from p and b.',
        remedy:
          'A low-cut at 80 to 120 Hz removes most of it. For the next take, use a pop screen or turn the mic off axis.',
      }
    case 'inverted-polarity':
      return {
        meaning:
          'The pulses of the voice point the wrong way: something in the signal path inverted the polarity. It is inaudible alone, but thins out the voice beside a second mic.',
        remedy: `Nothing to do for one mic. Beside another mic of the same take, invert one of them. Measured over ${finding.voicedSeconds.toFixed(0)} s of voice (confidence ${(finding.confidence ?? 0).toFixed(1)}, threshold ${finding.leastConfidence}).`,
      }
    case 'opposite-channels':
      return {
        meaning: 'Left and right carry the same sound with opposite polarity: in mono the voice disappears.',
        remedy: 'Export one channel alone as a mono take, or invert the polarity of one of them.',
      }
    case 'likely-compressed': {
      const rise =
        finding.noiseRiseDb === null
          ? ''
          : ` and the noise rises by ${finding.noiseRiseDb.toFixed(1)} dB after phrases`
      return {
        meaning: `Likely, not certain: the take was compressed while it was tracked, because its loudest moments are only ${(-value).toFixed(1)} dB over the usual ones${rise}.`,
        remedy: 'Ask how it was tracked. If it was compressed, set levelling lighter than usual.',
      }
    }
    case 'reverberation':
      return {
        meaning: `The room is heard with the voice: above 3 kHz even its fastest endings take ${value.toFixed(2)} s to fall by 60 dB. No stage of the chain removes reverberation, and levelling and air raise it.`,
        remedy:
          'Ask whether a dry recording exists. If not, keep levelling light, and use the expander only gently, as it cuts the room off audibly. For the next take, move closer to the mic or damp the room.',
      }
    case 'converted-rate':
      return {
        meaning: `There is nothing above ${(value / 1000).toFixed(1)} kHz (a fall of ${finding.dropDb.toFixed(0)} dB): the file was most likely converted up from ${finding.fromRateHz} Hz, although its header says more.`,
        remedy: 'Ask for the original recording; no air boost can bring back anything above this edge.',
      }
    case 'lossy-coding':
      return {
        meaning: `The samples carry traces of the rounding that ${CODERS[finding.coder]} coding does in its frames: the take was most likely decoded from such a file, at whatever bit rate, although this file is uncompressed.`,
        remedy:
          'Ask for the original recording. If there is none, go easy on air and levelling, which raise coding noise.',
      }
    case 'lossy-bandwidth':
      return {
        meaning: `The spectrum ends abruptly at ${(value / 1000).toFixed(1)} kHz (${finding.dropDb.toFixed(0)} dB within a kilohertz, nothing above), as lossy coding leaves it; microphones roll off slowly.`,
        remedy: 'Ask for the uncompressed recording; air boosts and de-essing will bring out coding noise.',
      }
    case 'not-one-voice':
      return finding.because === 'no-pause'
        ? {
            meaning: `It sounds for ${value.toFixed(0)} s without a pause in which a noise floor could be measured: music, a mix or noise, not one voice, so checks that need a voice were skipped.`,
            remedy:
              'If it should be a vocal take, check that the right track was exported, without reverb and backing.',
          }
        : {
            meaning:
              'All the while it sounds there is nearly as much below 80 Hz as in the range of a voice: music with kick and bass, so checks that need a voice were skipped.',
            remedy:
              'If it is a vocal take, cut the sound below 80 Hz and import it again; otherwise check which track was exported.',
          }
    case 'too-short':
      return {
        meaning: `Only ${(-value).toFixed(1)} s of sound: too little to judge noise floor, hum, clicks, polarity or compression.`,
        remedy: 'Nothing to do. Judge it by ear, or import a longer piece of the recording.',
      }
    case 'cut-short':
      return {
        meaning:
          'The file ends before the length in its header: a copy or download broke off, or the recorder stopped without closing the file.',
        remedy:
          'What is there is used like any take. If more is needed, copy the whole recording from its source and import that.',
      }
    case 'never-closed':
      return {
        meaning:
          'The header gives no length: the recorder stopped without closing the file, or it was written to a pipe.',
        remedy:
          'Everything up to the end of the file is taken as sound. Listen to the end: what the recorder had not yet written is not there.',
      }
    case 'same-performance': {
      const { sharedPhrases, phrases, otherTake, lagFrames, lagSeconds, isInverted } = finding
      const what =
        sharedPhrases === phrases
          ? 'This is'
          : `${sharedPhrases} of ${phrases} phrases ${sharedPhrases === 1 ? 'is' : 'are'}`
      const lag = `${Math.abs(lagSeconds).toFixed(4)} s (${countOf(Math.abs(lagFrames), 'sample')})`
      const when =
        lagFrames === 0
          ? 'at the same place in both files'
          : `${lag} ${lagFrames > 0 ? 'later' : 'earlier'} there`
      return {
        meaning: `${what} the same performance as ${otherTake}, ${when}${isInverted ? ', with inverted polarity' : ''}: together they get louder or comb, and do not thicken.`,
        remedy: 'Use one of the two. For a double, record the line again.',
      }
    }
  }
}
