// The check of an incoming take, in one pass over its samples: all searches process the same
// blocks and give their results when the take has ended.

import type { Finding } from '../meters/finding.ts'
import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { breathsByLevel, splitAtBreaths } from './breaths.ts'
import { type CheckEvidence, checkFindings } from './check-findings.ts'
import { CLICK_REACH_SECONDS, createClickSearch } from './clicks.ts'
import { createCodingSearch } from './coding/coding-traces.ts'
import { createHumSearch, type HumFamily } from './hum.ts'
import { createLevelTrack } from './level-track.ts'
import { isOneVoice } from './material.ts'
import { createMonoFeed } from './mono-feed.ts'
import { floorAndVoice, quietOffset } from './noise-floor.ts'
import { createOctaveBank } from './octave-bank.ts'
import { pausesOf } from './pauses.ts'
import { phrasesOf, soundingSpans } from './phrases.ts'
import { createPolarityMeter } from './polarity.ts'
import { createPopSearch } from './pops.ts'
import { reverberation } from './reverberation.ts'
import { createEdgeSearch } from './spectral-edge.ts'
import { trackedCompression } from './tracked-compression.ts'
import { createPrintTaker, type VoicePrint } from './voice-print.ts'

/** The part of the evidence that is kept with a take; its clicks, pops, reverberation and coding are in the findings. */
export type StoredCheck = Omit<
  CheckEvidence,
  | 'quietOffset'
  | 'lowAgainstVoiceDb'
  | 'soundSeconds'
  | 'clicks'
  | 'pops'
  | 'oppositeChannels'
  | 'reverberation'
  | 'coding'
>

/** Outcome of the check of one take. */
export interface CheckedTake {
  readonly evidence: CheckEvidence
  readonly findings: readonly Finding[]
  readonly print: VoicePrint
  /** Mean square per level frame from 80 Hz up, and which of the frames are in a pause. */
  readonly levels: {
    readonly powers: Float64Array
    readonly isPause: Uint8Array
    readonly frameSeconds: number
  }
  /** Searches for a family of lines near a mains frequency that is none of it; null where there is none. */
  humOffMains(): HumFamily | null
}

interface TakeCheckMeter {
  /** Length of a level frame. */
  readonly frameSeconds: number
  /** @param frames how many frames of every channel to take, any number; finite values only */
  add(channels: Channels, frames: number): void
  /** Ends the take; nothing may be added after it. */
  finish(): CheckedTake
}

/** @param layout one or two channels, 8 kHz or more */
export function createTakeCheck(layout: {
  readonly sampleRateHz: number
  readonly channels: number
}): TakeCheckMeter {
  const { sampleRateHz } = layout
  const history = Math.ceil(2.5 * CLICK_REACH_SECONDS * sampleRateHz)
  const held = new Float64Array(history + BLOCK_FRAMES)
  const mono = createMonoFeed(layout)
  const track = createLevelTrack(sampleRateHz)
  const clicks = createClickSearch(sampleRateHz, track.segmentFrames)
  const bank = createOctaveBank(sampleRateHz, BLOCK_FRAMES)
  const delaySeconds = (rate: { delayFrames: number }) => rate.delayFrames / sampleRateHz
  const polarity = createPolarityMeter(bank.speech.rateHz, delaySeconds(bank.speech))
  const pops = createPopSearch(bank.low.rateHz, delaySeconds(bank.low))
  const hum = createHumSearch(bank.low.rateHz, delaySeconds(bank.low))
  const edge = createEdgeSearch(sampleRateHz)
  const coding = createCodingSearch(sampleRateHz)
  const print = createPrintTaker(bank.print.rateHz, bank.print.delayFrames / bank.print.factor)
  let filled = 0
  let frame = 0
  let frames = 0

  function takeBlock(count: number): void {
    track.add(held, history, count, clicks.segment)
    clicks.examine(held, frame - history, frame + count)
    edge.add(held, history, count)
    coding.add(held, history, count)
    bank.add(held, history)
    const { speech, low, print: lowest } = bank
    polarity.add(speech.samples, speech.from, BLOCK_FRAMES / speech.factor)
    pops.add(low.samples, low.from, BLOCK_FRAMES / low.factor)
    hum.add(low.samples, low.from, BLOCK_FRAMES / low.factor)
    print.add(lowest.samples, lowest.from, BLOCK_FRAMES / lowest.factor)
    held.copyWithin(0, BLOCK_FRAMES)
    frame += BLOCK_FRAMES
    filled = 0
  }

  return {
    frameSeconds: track.frameSeconds,
    add(channels, blockFrames) {
      for (let read = 0; read < blockFrames; ) {
        const take = Math.min(blockFrames - read, BLOCK_FRAMES - filled)
        mono.read(channels, read, take, held, history + filled)
        read += take
        filled += take
        if (filled === BLOCK_FRAMES) takeBlock(BLOCK_FRAMES)
      }
      frames += blockFrames
    },
    finish() {
      held.fill(0, history + filled)
      takeBlock(filled)
      const level = floorAndVoice(track)
      const sounding = soundingSpans(track, level)
      const { phrases: spans, breaths } = splitAtBreaths(
        track,
        sounding,
        breathsByLevel(track, level.voiceDbfs ?? 0, polarity.isVoiced),
      )
      const seconds = frames / sampleRateHz
      const { isPause } = pausesOf(track, level)
      const lowAgainstVoiceDb = pops.lowAgainstVoiceDb(sounding)
      const soundSeconds = sounding.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0)
      const material = { seconds, ...level, lowAgainstVoiceDb, soundSeconds }
      const evidence: CheckEvidence = {
        ...level,
        ...material,
        isOneVoice: isOneVoice(material),
        quietOffset: quietOffset(track),
        breaths,
        phrases: phrasesOf(track, spans, seconds),
        clicks: clicks.clicks(),
        pops: pops.pops(spans),
        hum: hum.family(isPause, track.frameSeconds),
        pauseSeconds: hum.pauseSeconds(isPause, track.frameSeconds),
        polarity: polarity.polarity(isOneVoice(material)),
        edge: edge.edge(),
        trackedCompression: trackedCompression(track, spans, isPause),
        oppositeChannels: mono.areOpposite(),
        reverberation: reverberation(track),
        coding: coding.traces(),
      }
      const { frameSeconds } = track
      return {
        evidence,
        findings: checkFindings(evidence),
        print: print.print(),
        levels: { powers: track.powers.values(), isPause, frameSeconds },
        humOffMains: () => hum.familyOffMains(isPause, frameSeconds),
      }
    },
  }
}
