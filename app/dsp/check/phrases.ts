// When the voice sounds: phrases, from level thresholds between the noise floor and the
// voice. Two detectors run side by side, one of them on the sound above 3 kHz alone, so that
// a leading /s/ opens a phrase. Energy end-points after Rabiner and Sambur (1975).

import { dbFromPower } from '../maths/decibels.ts'
import type { Span } from '../maths/span.ts'
import type { LevelTrack } from './level-track.ts'
import type { FloorAndVoice } from './noise-floor.ts'

/** A stretch in which the voice sounds, padding included. */
export interface Phrase extends Span {
  /** RMS from 80 Hz up. */
  readonly levelDbfs: number
}

const HOLD_SECONDS = 0.2
const MIN_PHRASE_SECONDS = 0.12
const MERGED_GAP_SECONDS = 0.25
const PAD_BEFORE_SECONDS = 0.06
const PAD_AFTER_SECONDS = 0.12
const MIN_RISE_DB = 10
const RISE_SHARE = 0.35
const CLOSE_BELOW_OPEN_DB = 6
/** Lower limit of the floor, for takes at or near digital zero in which no floor could be read. */
const LOWEST_FLOOR_DBFS = -100

/** Where the voice sounds, without padding, gaps merged; empty for silence. */
export function soundingSpans(track: LevelTrack, { floorDbfs, voiceDbfs }: FloorAndVoice): Span[] {
  if (voiceDbfs === null) return []
  const { frameSeconds } = track
  const levels = track.powers.values()
  const highs = track.highPowers.values()
  const floor = Math.max(LOWEST_FLOOR_DBFS, floorDbfs ?? lowest(levels))
  const wide = gate(floor, voiceDbfs)
  const high = gate(...extremes(highs, levels, floor))
  const spans: Span[] = []
  let openAt = -1
  let lastLoud = -1
  for (let i = 0; i <= levels.length; i++) {
    const isOver = i === levels.length
    const power = isOver ? 0 : levels[i]
    const highPower = isOver ? 0 : highs[i]
    if (openAt < 0) {
      if (power < wide.open && highPower < high.open) continue
      openAt = i
      // Go back to where the sound rose out of the floor, before it reached the threshold.
      while (openAt > 0 && (levels[openAt - 1] >= wide.close || highs[openAt - 1] >= high.close)) openAt--
      lastLoud = i
    } else if (power >= wide.close || highPower >= high.close) lastLoud = i
    else if (isOver || (i - lastLoud) * frameSeconds > HOLD_SECONDS) {
      add(spans, openAt * frameSeconds, (lastLoud + 1) * frameSeconds)
      openAt = -1
    }
  }
  return spans.filter(({ fromS, toS }) => toS - fromS >= MIN_PHRASE_SECONDS)
}

/** The phrases of a take: the spans with room before and after. @param seconds length of the take */
export function phrasesOf(track: LevelTrack, spans: readonly Span[], seconds: number): Phrase[] {
  const levels = track.powers.values()
  return spans.map(({ fromS, toS }) => {
    let sum = 0
    const first = Math.round(fromS / track.frameSeconds)
    const end = Math.round(toS / track.frameSeconds)
    for (let i = first; i < end; i++) sum += levels[i]
    return {
      fromS: Math.max(0, fromS - PAD_BEFORE_SECONDS),
      toS: Math.min(seconds, toS + PAD_AFTER_SECONDS),
      levelDbfs: dbFromPower(sum / (end - first)),
    }
  })
}

function add(spans: Span[], fromS: number, toS: number): void {
  const last = spans.at(-1)
  if (last !== undefined && fromS - last.toS < MERGED_GAP_SECONDS) {
    spans[spans.length - 1] = { fromS: last.fromS, toS }
  } else spans.push({ fromS, toS })
}

function gate(floorDb: number, voiceDb: number): { open: number; close: number } {
  const openDb = floorDb + Math.max(MIN_RISE_DB, RISE_SHARE * (voiceDb - floorDb))
  return { open: 10 ** (openDb / 10), close: 10 ** ((openDb - CLOSE_BELOW_OPEN_DB) / 10) }
}

function lowest(levels: Float64Array): number {
  let least = Infinity
  for (const power of levels) if (power > 0 && power < least) least = power
  return dbFromPower(least)
}

/** Floor and 95th percentile of the high band; its floor is its mean where the whole sound is at its own. */
function extremes(highs: Float64Array, levels: Float64Array, floorDb: number): [number, number] {
  const quiet = 10 ** ((floorDb + 3) / 10)
  let sum = 0
  let count = 0
  const sounding: number[] = []
  for (let i = 0; i < levels.length; i++) {
    if (highs[i] <= 0) continue
    sounding.push(highs[i])
    if (levels[i] > quiet) continue
    sum += highs[i]
    count++
  }
  sounding.sort((a, b) => a - b)
  const voiceDb = dbFromPower(sounding[Math.floor(0.95 * (sounding.length - 1))] ?? 1)
  const floor = count > 0 ? dbFromPower(sum / count) : voiceDb
  return [Math.max(LOWEST_FLOOR_DBFS, floor), voiceDb]
}
