// Scores of random nonsense lines, from a seed, and takes of them with their truth: lines left out, sung twice, broken off
// or in another order, as takes of a session are.

import { createRandom, type Random } from '../../../app/dsp/maths/random.ts'
import type { Span } from '../../../app/dsp/maths/span.ts'
import { LEAD_DEVIATIONS, type Performance, type Singer } from '../../../app/dsp/voice/performance.ts'
import { type RenderedVoice, renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { type Phrase, phrase, type Score, type SyllableRow } from '../../../app/dsp/voice/score.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import type { VoiceTruth } from '../../../app/dsp/voice/voice-truth.ts'

const ONSETS = [
  'S',
  'T',
  'K',
  'M',
  'L',
  'R',
  'D',
  'V',
  'N',
  'B',
  'F',
  'W',
  'SH',
  'P',
  'G',
  'S T',
  'B R',
  'Z',
  'Y',
  '',
]
const VOWELS = ['AE', 'AH', 'IH', 'IY', 'EH', 'AY', 'OW', 'UW', 'AA', 'AO', 'ER', 'EY', 'AW']
const CODAS = ['', '', '', 'N', 'T', 'S', 'L', 'K', 'D', 'M', 'R']

/** One line as rows whose beats count from its start. */
type Line = readonly SyllableRow[]

const pick = <T>(from: readonly T[], random: Random): T => from[Math.floor(random.uniform() * from.length)]

const spelling = (random: Random): string =>
  [pick(ONSETS, random), pick(VOWELS, random), pick(CODAS, random)].filter((part) => part !== '').join(' ')

/** Rapped on sixteenths, or sung more slowly on a scale. */
export function randomLines(count: number, seed: number, kind: 'rap' | 'sung'): Line[] {
  const random = createRandom(seed)
  return Array.from({ length: count }, () => {
    const rows: SyllableRow[] = []
    const beats = kind === 'rap' ? 3.1 : 3.2
    for (let beat = 0; beat < beats; ) {
      const length = kind === 'rap' ? pick([0.25, 0.25, 0.25, 0.5], random) : pick([0.5, 0.5, 1], random)
      const pitch = kind === 'rap' ? Math.floor(4 * random.uniform()) - 1 : pick([0, 2, 4, 5, 7], random)
      rows.push([
        beat,
        Math.min(length, 3.4 - beat) * 0.95,
        pitch,
        spelling(random),
        random.uniform() < 0.3 ? 1 : 0,
      ])
      beat += length
    }
    return rows
  })
}

/** Lines four beats apart, so that the gaps between them are a third to two thirds of a second at 92 BPM. */
export function scoreOf(lines: readonly Line[], breath = true, spacingBeats = 4): Score {
  return {
    title: 'random lines',
    tempoBpm: 92,
    leadInBeats: 2,
    lengthBeats: spacingBeats * lines.length + 1,
    swing: 0.55,
    phrases: lines.map((rows, i): Phrase => phrase(spacingBeats * i, (i % 3) * -1.5, rows, breath)),
  }
}

export function take(
  score: Score,
  seed: number,
  changes: Partial<Performance> = {},
  singer: Singer = RAP_BARITONE,
): RenderedVoice {
  return renderVoice(
    score,
    {
      singer,
      deviations: LEAD_DEVIATIONS,
      effortDb: 0,
      peakDbfs: -4,
      popLevelDb: -30,
      room: { reflections: [{ delayMs: 7, levelDb: -22 }], noiseFloorDbfs: -65 },
      ...changes,
    },
    { sampleRateHz: 48_000, seed },
  )
}

/** Where each line of a take lies. */
export function lineSpans(truth: VoiceTruth): Span[] {
  const spans: { fromS: number; toS: number }[] = []
  for (const { phraseIndex, consonantStartSeconds, endSeconds } of truth.syllables) {
    spans[phraseIndex] ??= { fromS: consonantStartSeconds, toS: endSeconds }
    spans[phraseIndex].toS = endSeconds
  }
  return spans
}
