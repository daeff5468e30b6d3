// Where the de-ess starts: at this singer's sibilants, and over what this singer's vowels
// reach by themselves.

import type { Sibilance } from '../sibilance/sibilance-facts.ts'
import { THIRD_OCTAVES } from '../spectra/third-octaves.ts'
import { usualSpreadOf } from '../usual-spread.ts'
import type { VoiceAnalysed } from '../voice-analysis.ts'
import { clamp, confidenceFrom, type Evidence, type Proposal } from './proposal.ts'

const FEWEST_EVENTS = 4
/** Events enough to know a singer's s. */
const SETTLED_EVENTS = 20
const OVER_VOWELS_DB = 3
/** The threshold lies this and the range under the middle of the sibilants, so that those are held in full. */
const UNDER_SIBILANTS_DB = 4
/** Where a singer's vowels come as near as this to the sibilants, it acts over this distance at least. */
const LEAST_DISTANCE_DB = 3
const USUAL_RANGE_DB = 4
const HOT_RANGE_DB = 6
const MOST_RANGE_DB = 8
/** A shelf takes nearly all from its frequency up: this far under the peak it has the peak's lower flank. */
const SHELF_UNDER_PEAK = 0.75
const LOWEST_HZ = 3500
const HIGHEST_HZ = 9000
/** A peak whose bands two thirds of an octave above fall by more than this is narrow, and a bell does. */
const NARROW_FALL_DB = 9
const EXPECTED_SPREAD_DB = 1.5

/** null: too few sibilants to say anything. */
export function suggestDeEss(
  { sibilance, fundamental }: VoiceAnalysed,
  history: readonly VoiceAnalysed[],
): Proposal | null {
  const { events, peakHz, ratioDb, upperRatioDb, hotRatioDb, vowelRatioP95Db } = sibilance
  if (events.length < FEWEST_EVENTS || peakHz === null || ratioDb === null || vowelRatioP95Db === null) {
    return null
  }
  const isNarrow = fallsSteeply(sibilance, peakHz)
  const frequencyHz =
    100 * Math.round(clamp(isNarrow ? peakHz : SHELF_UNDER_PEAK * peakHz, LOWEST_HZ, HIGHEST_HZ) / 100)
  const shape = isNarrow ? 'bell' : 'high-shelf'
  const evidence: Evidence[] = [{ kind: 'sibilant-peak', events: events.length, peakHz, shape, frequencyHz }]
  const hot = hotRatioDb === null ? [] : events.filter((event) => event.ratioDb > hotRatioDb)
  let rangeDb = hot.length > 0 ? HOT_RANGE_DB : USUAL_RANGE_DB
  if (hot.length > 0) evidence.push({ kind: 'hot-sibilants', events: hot.length, rangeDb })
  const usual = usualSpreadOf(
    history.map((one) => one.sibilance.upperRatioDb).filter((value) => value !== null),
    EXPECTED_SPREAD_DB,
  )
  const excessDb = usual === null || upperRatioDb === null ? 0 : upperRatioDb - usual.mean
  if (usual !== null && excessDb > usual.limit) {
    rangeDb = Math.min(MOST_RANGE_DB, Math.round(Math.max(rangeDb, USUAL_RANGE_DB + excessDb)))
    evidence.push({ kind: 'stronger-sibilants', excessDb, earlierTakes: usual.takes, rangeDb })
  }
  const overVowels = vowelRatioP95Db + OVER_VOWELS_DB
  const thresholdDb = Math.round(
    clamp(
      Math.min(Math.max(overVowels, ratioDb - rangeDb - UNDER_SIBILANTS_DB), ratioDb - LEAST_DISTANCE_DB),
      -30,
      30,
    ),
  )
  evidence.push({ kind: 'sibilant-ratio', vowelRatioP95Db, sibilantRatioDb: ratioDb, thresholdDb, rangeDb })
  return {
    stage: {
      kind: 'de-ess',
      settings: { shape, frequencyHz, thresholdDb, rangeDb },
    },
    evidence,
    confidence: confidenceFrom(fundamental.voicedSeconds, Math.min(1, events.length / SETTLED_EVENTS)),
  }
}

function fallsSteeply({ spectrum }: Sibilance, peakHz: number): boolean {
  if (spectrum === null) return false
  const at = THIRD_OCTAVES.findIndex(({ upperHz }) => peakHz < upperHz)
  const peak = spectrum.levelsDbfs[at] ?? null
  const above = spectrum.levelsDbfs[at + 2] ?? null
  return peak !== null && above !== null && peak - above > NARROW_FALL_DB
}
