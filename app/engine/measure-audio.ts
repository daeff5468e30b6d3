// One pass over a file for everything that intake wants to know: its facts and its peaks.

import type { AudioSource } from '../audio/audio-source.ts'
import { createPeakCollector, type Peaks } from '../audio/peaks.ts'
import { Failure } from '../contract/failure.ts'
import type { TakeFacts } from '../contract/take-facts.ts'
import { createVoiceAnalysis, type VoiceAnalysis } from '../dsp/analysis/voice-analysis.ts'
import { type CheckedTake, createTakeCheck, type StoredCheck } from '../dsp/check/take-check.ts'
import type { VoicePrint } from '../dsp/check/voice-print.ts'
import { BLOCK_FRAMES, type Channels } from '../dsp/stage.ts'
import { createTakeMeter, type TakeMeter } from '../dsp/take-meter.ts'

const READ_FRAMES = 16 * BLOCK_FRAMES

type MeterFacts = ReturnType<TakeMeter['facts']>

/**
 * Facts, peaks and print of a take.
 * @param name what to call the file in a failure
 * @param moved hears the fraction done; throws to stop
 * @throws Failure `not-finite` with the place of the first sample that is no number
 */
export function measureAudio(
  audio: AudioSource,
  name: string,
  moved: (fraction: number) => void,
): { facts: TakeFacts; peaks: Peaks; print: VoicePrint } {
  const { sampleRateHz, channels } = audio.format
  const meter = createTakeMeter({ sampleRateHz, channels })
  const voice = createVoiceAnalysis({ sampleRateHz, channels })
  const check = createTakeCheck({ sampleRateHz, channels })
  const collector = createPeakCollector(channels)
  passOver(audio, moved, (block, count) => {
    meter.add(block, count)
    // What is no number ends the measurement below, and neither of these is made for it.
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

/** Loudness and peaks alone, with what the meter itself finds; parameters and failures as of `measureAudio`. */
export function measureLevels(
  audio: AudioSource,
  name: string,
  moved: (fraction: number) => void,
): TakeFacts {
  const { sampleRateHz, channels } = audio.format
  const meter = createTakeMeter({ sampleRateHz, channels })
  passOver(audio, moved, (block, count) => meter.add(block, count))
  return takeFactsOf(finiteFactsOf(meter, name, sampleRateHz), [])
}

function passOver(
  audio: AudioSource,
  moved: (fraction: number) => void,
  hear: (block: Channels, count: number) => void,
): void {
  const { channels, frames } = audio.format
  const block = Array.from({ length: channels }, () => new Float64Array(READ_FRAMES))
  for (let at = 0; at < frames; at += READ_FRAMES) {
    const count = Math.min(READ_FRAMES, frames - at)
    audio.read(at, count, block)
    hear(block, count)
    moved((at + count) / frames)
  }
}

function finiteFactsOf(meter: TakeMeter, name: string, sampleRateHz: number): MeterFacts {
  const measured = meter.facts()
  const bad = measured.firstNonFinite
  if (bad !== null) {
    throw new Failure(
      'not-finite',
      `${name} holds a value that is no number at ${(bad.frame / sampleRateHz).toFixed(3)} s (frame ${bad.frame}, channel ${bad.channel + 1}); export it again from where it was recorded.`,
      { path: name, frame: bad.frame, channel: bad.channel },
    )
  }
  return measured
}

/** The part of the meter's facts that crosses borders; the rest is the file's format. */
function takeFactsOf(measured: MeterFacts, checkFindings: CheckedTake['findings']): TakeFacts {
  const known = new Set(measured.findings.map(({ kind }) => kind))
  // What both have seen (an offset) is said once.
  const findings = [...measured.findings, ...checkFindings.filter(({ kind }) => !known.has(kind))]
  return {
    integratedLufs: measured.integratedLufs,
    loudnessRangeLu: measured.loudnessRangeLu,
    maxMomentaryLufs: measured.maxMomentaryLufs,
    maxShortTermLufs: measured.maxShortTermLufs,
    truePeakDbtp: measured.truePeakDbtp,
    samplePeakDbfs: measured.samplePeakDbfs,
    dcOffset: measured.dcOffset ?? 0,
    findings: findings.map((finding) => ({ ...finding, atSeconds: [...finding.atSeconds] })),
  }
}

function storedCheckOf({ evidence }: CheckedTake): StoredCheck {
  const { quietOffset, lowAgainstVoiceDb, soundSeconds, clicks, pops, oppositeChannels, ...stored } = evidence
  return stored
}

/** With three decimals, which is more than is measured and a third of the room. */
function forStorage<T extends VoiceAnalysis | StoredCheck>(measured: T): T {
  const text = JSON.stringify(measured, (_key, value: unknown) =>
    typeof value === 'number' ? Math.round(value * 1000) / 1000 : value,
  )
  return JSON.parse(text) as T
}
