// Feeds a signal to the voice analysis in blocks and returns the result.

import {
  createVoiceAnalysis,
  type VoiceAnalysed,
  type VoiceAnalysis,
} from '../../app/dsp/analysis/voice-analysis.ts'
import { feed } from './tones.ts'
import { VOICE_RATE_HZ } from './voice-takes.ts'

export function listen(
  channels: readonly Float64Array[],
  sampleRateHz = VOICE_RATE_HZ,
  blockFrames = 16_384,
): VoiceAnalysis {
  const analyser = createVoiceAnalysis({ sampleRateHz, channels: channels.length })
  feed(analyser.add, channels, blockFrames)
  return analyser.finish()
}

/** @throws Error with the reason if there is not enough voice */
export function analyse(samples: Float64Array): VoiceAnalysed {
  const analysis = listen([samples])
  if (analysis.outcome !== 'analysed') throw new Error(`not enough voice: ${analysis.why}`)
  return analysis
}
