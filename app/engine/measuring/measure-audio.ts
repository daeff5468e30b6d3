// One pass over a file for everything that intake needs: its facts, peaks and print.

import type { AudioSource } from '../../audio/audio-source.ts'
import type { OnProgress } from '../../audio/on-progress.ts'
import { createPeakCollector, type Peaks } from '../../audio/peaks.ts'
import type { TakeFacts } from '../../contract/take-facts.ts'
import { createVoiceAnalysis, type VoiceAnalysis } from '../../dsp/analysis/voice-analysis.ts'
import { type CheckedTake, createTakeCheck, type StoredCheck } from '../../dsp/check/take-check.ts'
import type { VoicePrint } from '../../dsp/check/voice-print.ts'
import { createTakeMeter } from '../../dsp/meters/take-meter.ts'
import { finiteFactsOf, takeFactsOf } from './meter-facts.ts'
import { passOver } from './pass-over.ts'

/**
 * Facts, peaks and print of a take.
 * @param name what to call the file in a failure
 * @throws Failure `not-finite` with the position of the first non-finite sample
 */
export async function measureAudio(
  audio: AudioSource,
  name: string,
  onProgress: OnProgress,
): Promise<{ facts: TakeFacts; peaks: Peaks; print: VoicePrint }> {
  const { sampleRateHz, channels } = audio.format
  const meter = createTakeMeter({ sampleRateHz, channels })
  const voice = createVoiceAnalysis({ sampleRateHz, channels })
  const check = createTakeCheck({ sampleRateHz, channels })
  const collector = createPeakCollector(channels)
  await passOver(audio, onProgress, (block, count) => {
    meter.add(block, count)
    // A non-finite sample fails the measurement below, and neither analysis can handle one.
    if (meter.isFinite()) {
      voice.add(block, count)
      check.add(block, count)
    }
    collector.add(block, count)
  })
  const measured = finiteFactsOf(meter, name, sampleRateHz)
  const checked = check.finish()
  return {
    facts: {
      ...takeFactsOf(measured, checked.findings),
      check: forStorage(storedCheckOf(checked)),
      voice: forStorage(voice.finish()),
    },
    peaks: collector.finish(),
    print: checked.print,
  }
}

function storedCheckOf({ evidence }: CheckedTake): StoredCheck {
  const { quietOffset, lowAgainstVoiceDb, soundSeconds, clicks, pops, oppositeChannels, coding, ...stored } =
    evidence
  return stored
}

/** Rounds to three decimals, which exceeds the measuring accuracy and takes a third of the space. */
function forStorage<T extends VoiceAnalysis | StoredCheck>(measured: T): T {
  const text = JSON.stringify(measured, (_key, value: unknown) =>
    typeof value === 'number' ? Math.round(value * 1000) / 1000 : value,
  )
  return JSON.parse(text) as T
}
