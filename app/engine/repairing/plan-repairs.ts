// What there is to mend in a take: one pass over its sound with the detectors of the take check, and a patch for
// each thing that was found.

import type { AudioSource } from '../../audio/audio-source.ts'
import type { OnProgress } from '../../audio/on-progress.ts'
import type { RefusedRepair } from '../../contract/repairs/repair-report.ts'
import { type HumFamily, MIN_PAUSE_SECONDS as LEAST_PAUSE_SECONDS } from '../../dsp/check/hum.ts'
import { createMonoFeed } from '../../dsp/check/mono-feed.ts'
import { type CheckedTake, createTakeCheck } from '../../dsp/check/take-check.ts'
import { dbFromPower } from '../../dsp/maths/decibels.ts'
import { median } from '../../dsp/maths/median.ts'
import { ClippedRuns } from '../../dsp/meters/clipped-runs.ts'
import { breathPatch } from '../../dsp/repair/breath-patch.ts'
import { createBreathSearch } from '../../dsp/repair/breath-search.ts'
import { clickPatch } from '../../dsp/repair/click-patch.ts'
import { clippedPatches } from '../../dsp/repair/clipped-patch.ts'
import type { Patch, RefusalReason, RepairKind } from '../../dsp/repair/patch.ts'
import { popPatch } from '../../dsp/repair/pop-patch.ts'
import { BLOCK_FRAMES } from '../../dsp/stage.ts'
import { passOver } from '../measuring/pass-over.ts'
import { refuseUnmeasurable } from '../measuring/refuse-unmeasurable.ts'
import { type HumModel, measureHum } from './measure-hum.ts'

/** What is asked for. */
export interface WantedRepairs {
  readonly kinds: ReadonlySet<RepairKind>
  /** Whether the kinds were named one by one: then one that cannot be searched is refused in words. */
  readonly isExplicit: boolean
  /** How far breaths may be turned down. */
  readonly breathsDb: number
}

export interface PlannedRepairs {
  readonly patches: readonly Patch[]
  /** Runs at the limit that a patch mends. */
  readonly runsOf: ReadonlyMap<Patch, number>
  readonly refused: readonly RefusedRepair[]
  /** null: none that is mended. */
  readonly hum: HumModel | null
}

/** Quieter hum is not noticed (common practice), and lines of noise alone can make such a family. */
const LEAST_HUM_DBFS = -85
/** Share of the time for the search; the rest is the measurement of hum. */
const SEARCH_PART = 0.6

/**
 * @param name what to call the file in a failure
 * @throws Failure `not-finite`, and those of reading
 */
export async function planRepairs(
  audio: AudioSource,
  name: string,
  wanted: WantedRepairs,
  onProgress: OnProgress,
): Promise<PlannedRepairs> {
  const { sampleRateHz, channels, frames, encoding } = audio.format
  const seconds = frames / sampleRateHz
  const check = createTakeCheck({ sampleRateHz, channels })
  const clipped = Array.from({ length: channels }, () => new ClippedRuns(sampleRateHz, true))
  let at = 0
  const mono = createMonoFeed({ sampleRateHz, channels })
  const heard = new Float64Array(BLOCK_FRAMES)
  const breaths = wanted.kinds.has('breaths') ? createBreathSearch(sampleRateHz, check.frameSeconds) : null
  const onSearch: OnProgress = (done) => onProgress(SEARCH_PART * done)
  await passOver(audio, onSearch, (block, count) => {
    if (encoding.startsWith('float')) refuseUnmeasurable(block, count, at, { name, sampleRateHz })
    check.add(block, count)
    for (let from = 0; breaths !== null && from < count; from += BLOCK_FRAMES) {
      const more = Math.min(BLOCK_FRAMES, count - from)
      mono.read(block, from, more, heard, 0)
      breaths.add(heard, more)
    }
    for (let c = 0; c < channels; c++) clipped[c].add(block[c], count)
    at += count
  })
  const checked = check.finish()
  const { evidence } = checked
  const patches: Patch[] = []
  const runsOf = new Map<Patch, number>()
  const refused: RefusedRepair[] = []
  const refuse = (kind: RepairKind, why: RefusalReason, fromS = 0, toS = seconds): void => {
    refused.push({ kind, fromS, toS, why })
  }

  if (wanted.kinds.has('clipped')) {
    for (const [channel, found] of clipped.entries()) {
      const runs = found.runs()
      for (const { patch, runs: count } of clippedPatches(runs, channel, sampleRateHz)) {
        patches.push(patch)
        runsOf.set(patch, count)
      }
      // Tops that something has bent since are not at the limit themselves, so nothing says what they were.
      if (found.count() > runs.length) {
        for (const { fromS, toS } of found.places()) refuse('clipped', 'bent-tops', fromS, toS)
      }
    }
  }
  const doubt = doubtOf(checked)
  for (const kind of ['clicks', 'pops', 'breaths', 'hum'] as const) {
    if (!wanted.kinds.has(kind)) continue
    if (doubt !== null) {
      refuse(kind, doubt)
      continue
    }
    if (kind === 'clicks') {
      for (const { fromS } of evidence.clicks) patches.push(clickPatch(fromS, sampleRateHz))
    }
    if (kind === 'breaths' && breaths !== null) {
      const patchesOrWhy = breathPatches(breaths, checked, wanted.breathsDb, sampleRateHz)
      if (typeof patchesOrWhy === 'string') refuse('breaths', patchesOrWhy)
      else patches.push(...patchesOrWhy)
    }
    if (kind === 'pops') for (const pop of evidence.pops) patches.push(popPatch(pop, sampleRateHz))
  }
  let hum: HumModel | null = null
  if (wanted.kinds.has('hum') && doubt === null) {
    const family = familyToMend(checked, wanted.isExplicit)
    if (typeof family === 'string') refuse('hum', family)
    else if (family !== null) {
      const measured = await measureHum(audio, family, checked.levels, (done) =>
        onProgress(SEARCH_PART + (1 - SEARCH_PART) * done),
      )
      if (typeof measured === 'string') refuse('hum', measured)
      else hum = measured
    }
  }
  return { patches, runsOf, refused, hum }
}

/** Breaths that are louder than they should be; a reason where they cannot be told from the noise. */
function breathPatches(
  search: ReturnType<typeof createBreathSearch>,
  { evidence, levels }: CheckedTake,
  mostDb: number,
  sampleRateHz: number,
): Patch[] | RefusalReason {
  const { floorDbfs, voiceDbfs, phrases } = evidence
  if (floorDbfs === null || voiceDbfs === null || phrases.length === 0) return 'no-pauses'
  const { powers, frameSeconds } = levels
  const voiced: number[] = []
  for (const { fromS, toS } of phrases) {
    const end = Math.min(powers.length, Math.floor(toS / frameSeconds))
    for (let i = Math.ceil(fromS / frameSeconds); i < end; i++) voiced.push(powers[i])
  }
  const usualDbfs = dbFromPower(median(voiced))
  return search.breaths({ powers, frameSeconds, floorDbfs, voiceDbfs }).flatMap((breath) => {
    const patch = breathPatch(breath, mostDb, { usualDbfs, floorDbfs }, sampleRateHz)
    return patch === null ? [] : [patch]
  })
}

/** The hum of the mains; a reason where it is left alone, null where there is none. */
function familyToMend(
  { evidence, humOffMains }: CheckedTake,
  isExplicit: boolean,
): HumFamily | RefusalReason | null {
  const family = evidence.hum
  if (family !== null && family.levelDbfs > LEAST_HUM_DBFS)
    return family.rateRatio === 1 ? family : 'wrong-rate'
  if (evidence.pauseSeconds < LEAST_PAUSE_SECONDS) return isExplicit ? 'no-pauses' : null
  const other = humOffMains()
  return other !== null && other.levelDbfs > LEAST_HUM_DBFS ? 'not-mains' : null
}

/** Why a take is no voice that can be judged; null for a voice. */
function doubtOf({ evidence, findings }: CheckedTake): RefusalReason | null {
  if (evidence.isOneVoice) return null
  if (evidence.voiceDbfs === null) return 'silent'
  return findings.some(({ kind }) => kind === 'too-short') ? 'too-short' : 'not-one-voice'
}
