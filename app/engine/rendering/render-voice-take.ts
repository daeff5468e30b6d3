// Renders a generated take as a recording: a voice through an invented microphone into a 24-bit file,
// optionally with hum on the line and phrases edited in from another take.

import { codingHistoryLine } from '../../audio/wave/broadcast.ts'
import { createWaveWriter } from '../../audio/wave/wave-writer.ts'
import { BLOCK_FRAMES } from '../../dsp/stage.ts'
import { colourByMic } from '../../dsp/voice/colour-by-mic.ts'
import type { DemoMic } from '../../dsp/voice/demo-mics.ts'
import type { Performance } from '../../dsp/voice/performance.ts'
import { renderVoice } from '../../dsp/voice/render-voice.ts'
import { addHum, type Hum } from '../../dsp/voice/room.ts'
import type { Score } from '../../dsp/voice/score.ts'

/** One pass at the microphone; the same pass gives the same samples wherever it is used. */
interface VoicePass {
  readonly score: Score
  readonly performance: Performance
  readonly seed: number
}

/** A stretch that an edit took from the same position in another pass. */
interface TakenOver {
  readonly pass: VoicePass
  readonly fromS: number
  readonly toS: number
}

/** A generated recording. */
export interface VoiceTake extends VoicePass {
  readonly path: string
  readonly mic: DemoMic
  readonly takenOver?: readonly TakenOver[]
  /** Left out for a clean line. */
  readonly hum?: Hum
  readonly sampleRateHz: number
  /** yyyy-mm-dd, for the file's bext chunk. */
  readonly date: string
}

/** An edit without fades would click. */
const EDIT_FADE_S = 0.01

/**
 * The same input gives the same bytes.
 * @param onProgress receives the fraction written; throws to stop, and nothing is left behind
 */
export function renderVoiceTake(take: VoiceTake, onProgress: (fraction: number) => void): void {
  const { path, score, mic, seed, takenOver = [], hum, sampleRateHz, date } = take
  const samples = recorded(take, take)
  for (const { pass, fromS, toS } of takenOver) edit(samples, recorded(pass, take), fromS, toS, sampleRateHz)
  if (hum !== undefined) addHum(samples, hum, sampleRateHz)
  onProgress(0)
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
      onProgress(at / samples.length)
    }
    writer.finish()
  } catch (error) {
    writer.abort()
    throw error
  }
}

function recorded(
  { score, performance, seed }: VoicePass,
  { mic, sampleRateHz }: Pick<VoiceTake, 'mic' | 'sampleRateHz'>,
): Float64Array {
  const voice = renderVoice(score, performance, { sampleRateHz, seed })
  return Float64Array.from(colourByMic(voice.samples, mic.curve, sampleRateHz))
}

/** Replaces a stretch of a take with another's, with a crossfade just inside either end. */
function edit(
  into: Float64Array,
  from: Float64Array,
  fromS: number,
  toS: number,
  sampleRateHz: number,
): void {
  const fade = EDIT_FADE_S * sampleRateHz
  const start = Math.round(fromS * sampleRateHz)
  const end = Math.min(into.length, from.length, Math.round(toS * sampleRateHz))
  for (let n = start; n < end; n++) {
    const share = Math.min(1, (n - start) / fade, (end - n) / fade)
    into[n] += share * (from[n] - into[n])
  }
}
