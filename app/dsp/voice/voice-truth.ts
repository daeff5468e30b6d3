// Ground truth of a generated take: when each syllable, sibilant, breath and pop sounds, and the pitch.
// Detectors are scored against this.
import { CONSONANTS } from './consonants.ts'
import { CONTROL_SECONDS } from './control-track.ts'
import type { Singer } from './performance.ts'
import type { Plan, PlannedConsonant } from './plan-performance.ts'

interface SyllableTruth {
  readonly phraseIndex: number
  /** Quarter notes after bar one, as the score has it. */
  readonly beat: number
  /** ARPAbet, such as 'S T AY K'. */
  readonly spelling: string
  /** Start of the first consonant, the silence of a stop's closure included. */
  readonly consonantStartSeconds: number
  readonly vowelStartSeconds: number
  readonly vowelEndSeconds: number
  readonly endSeconds: number
  /** The intended pitch. */
  readonly pitchHz: number
}

interface Interval {
  readonly startSeconds: number
  readonly endSeconds: number
}

/** Ground truth of one generated take. */
export interface VoiceTruth {
  readonly syllables: readonly SyllableTruth[]
  /** F0 without the jitter of single periods; 0 where the voice is silent. Value n is at n * stepSeconds. */
  readonly f0: { readonly stepSeconds: number; readonly hz: Float32Array }
  readonly sibilants: readonly (Interval & { readonly consonant: 'S' | 'Z' | 'SH' | 'CH' })[]
  readonly breaths: readonly Interval[]
  /** Centres of the thumps of /p/. */
  readonly popSeconds: readonly number[]
}

/** Voicing below this share of full voice counts as silent. */
const VOICED_AMPLITUDE = 0.02

/** When a consonant is audible: a stop only from its burst on, without the breath that follows. */
export function soundingSpan({ symbol, startSeconds, endSeconds }: PlannedConsonant): Interval {
  const { closureMs, soundMs, aspirationMs } = CONSONANTS[symbol]
  const perMs = (endSeconds - startSeconds) / (closureMs + soundMs + aspirationMs)
  return {
    startSeconds: startSeconds + closureMs * perMs,
    endSeconds: startSeconds + (closureMs + soundMs) * perMs,
  }
}

/** Centre of the thump of a /p/: shortly after its burst begins. */
export function popMoment(consonant: PlannedConsonant): number {
  return soundingSpan(consonant).startSeconds + 0.02
}

/** Collects the ground truth of a take. */
export function voiceTruth(
  plan: Plan,
  f0Hz: Float64Array,
  voicing: Float64Array,
  singer: Singer,
): VoiceTruth {
  const hz = new Float32Array(f0Hz.length)
  for (let frame = 0; frame < hz.length; frame++) {
    hz[frame] = voicing[frame] >= VOICED_AMPLITUDE ? f0Hz[frame] : 0
  }
  const sibilants: VoiceTruth['sibilants'][number][] = []
  const popSeconds: number[] = []
  for (const { onset, coda } of plan.syllables) {
    for (const consonant of [...onset, ...coda]) {
      const { symbol } = consonant
      if (symbol === 'S' || symbol === 'Z' || symbol === 'SH' || symbol === 'CH') {
        sibilants.push({ consonant: symbol, ...soundingSpan(consonant) })
      } else if (symbol === 'P') popSeconds.push(popMoment(consonant))
    }
  }
  return {
    syllables: plan.syllables.map((syllable) => ({
      phraseIndex: syllable.phraseIndex,
      beat: syllable.beat,
      spelling: [...syllable.onset.map(symbolOf), syllable.vowel, ...syllable.coda.map(symbolOf)].join(' '),
      consonantStartSeconds: syllable.consonantStartSeconds,
      vowelStartSeconds: syllable.vowelStartSeconds,
      vowelEndSeconds: syllable.vowelEndSeconds,
      endSeconds: syllable.endSeconds,
      pitchHz: singer.tonicHz * 2 ** (syllable.pitchSemitones / 12),
    })),
    f0: { stepSeconds: CONTROL_SECONDS, hz },
    sibilants,
    breaths: plan.breaths,
    popSeconds,
  }
}

function symbolOf(consonant: PlannedConsonant): string {
  return consonant.symbol
}
