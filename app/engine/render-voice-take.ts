// A generated take as a recording: a voice through an invented microphone into a 24-bit file.

import { codingHistoryLine } from '../audio/broadcast.ts'
import { createWaveWriter } from '../audio/wave-writer.ts'
import { BLOCK_FRAMES } from '../dsp/stage.ts'
import { colourByMic } from '../dsp/voice/colour-by-mic.ts'
import type { DemoMic } from '../dsp/voice/demo-mics.ts'
import type { Performance } from '../dsp/voice/performance.ts'
import { renderVoice } from '../dsp/voice/render-voice.ts'
import type { Score } from '../dsp/voice/score.ts'

export interface VoiceTake {
  readonly path: string
  readonly score: Score
  readonly performance: Performance
  readonly mic: DemoMic
  readonly seed: number
  readonly sampleRateHz: number
  /** yyyy-mm-dd, for the file's bext chunk. */
  readonly date: string
}

/** Same input, same bytes. */
export function renderVoiceTake({
  path,
  score,
  performance,
  mic,
  seed,
  sampleRateHz,
  date,
}: VoiceTake): void {
  const voice = renderVoice(score, performance, { sampleRateHz, seed })
  const samples = Float64Array.from(colourByMic(voice.samples, mic.curve, sampleRateHz))
  const encoding = 'pcm-24'
  const writer = createWaveWriter(path, {
    sampleRateHz,
    channels: 1,
    encoding,
    ditherSeed: seed,
    broadcast: {
      description: `${score.title}; generated voice, ${mic.name}`,
      originator: 'Takeloft demo',
      originatorReference: '',
      originationDate: date,
      originationTime: '00:00:00',
      timeReferenceSamples: 0,
      codingHistory: codingHistoryLine({ sampleRateHz, channels: 1, encoding }, 'generated'),
    },
  })
  try {
    for (let at = 0; at < samples.length; at += BLOCK_FRAMES) {
      const block = samples.subarray(at, at + BLOCK_FRAMES)
      writer.write([block], block.length)
    }
    writer.finish()
  } catch (error) {
    writer.abort()
    throw error
  }
}
