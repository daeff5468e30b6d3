// Surveys a file for its phrases, and reads stretches of it again where its timing is measured.

import type { AudioSource } from '../../audio/audio-source.ts'
import type { OnProgress } from '../../audio/on-progress.ts'
import { isMeasurable } from '../../dsp/meters/sample-peak.ts'
import type { Segment } from '../../dsp/phrases/line-timing.ts'
import { type SurveyedTake, surveyTake } from '../../dsp/phrases/surveyed-take.ts'
import { createVoiceFrames } from '../../dsp/phrases/voice-frames.ts'
import { unmeasurableFailure } from '../measuring/meter-facts.ts'
import { passOver } from '../measuring/pass-over.ts'

/**
 * One pass over the file.
 * @param name what to call the file in a failure
 * @param topHz of the mel bands, from melTopHz
 * @throws Failure 'not-finite'
 */
export async function surveyFile(
  audio: AudioSource,
  name: string,
  topHz: number,
  onProgress: OnProgress,
): Promise<SurveyedTake> {
  const { sampleRateHz, channels } = audio.format
  const meter = createVoiceFrames({ sampleRateHz, channels }, topHz)
  let frame = 0
  await passOver(audio, onProgress, (block, count) => {
    for (let c = 0; c < block.length; c++) {
      for (let i = 0; i < count; i++) {
        if (!isMeasurable(block[c][i]))
          throw unmeasurableFailure(name, sampleRateHz, { frame: frame + i, channel: c })
      }
    }
    meter.add(block, count)
    frame += count
  })
  return surveyTake(meter.finish())
}

/** The mean of the channels between two times; zeros outside of the file. */
export function readSegment(audio: AudioSource, fromS: number, toS: number): Segment {
  const { sampleRateHz, channels } = audio.format
  const from = Math.round(fromS * sampleRateHz)
  const count = Math.max(1, Math.round(toS * sampleRateHz) - from)
  const block = Array.from({ length: channels }, () => new Float64Array(count))
  const start = Math.max(0, from)
  if (from + count > start) audio.read(start, from + count - start, block, start - from)
  const samples = block[0]
  for (let c = 1; c < channels; c++) for (let i = 0; i < count; i++) samples[i] += block[c][i]
  if (channels > 1) for (let i = 0; i < count; i++) samples[i] /= channels
  return { samples, sampleRateHz, fromS: from / sampleRateHz }
}
