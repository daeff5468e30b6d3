// Suggests de-ess settings: the frequency of this singer's sibilants, and a threshold above the
// ratio that the same singer's vowels reach.

import type { Sibilance } from '../sibilance/sibilance-facts.ts'
import { THIRD_OCTAVES } from '../spectra/third-octaves.ts'
import { usualSpreadOf } from '../usual-spread.ts'
import type { VoiceAnalysed } from '../voice-analysis.ts'
import { clamp, confidenceFrom, type Evidence, type ProposalOf } from './proposal.ts'

const FEWEST_EVENTS = 4
/** Number of events for full confidence. */
const SETTLED_EVENTS = 20
const OVER_VOWELS_DB = 3
/** The threshold is this plus the range below the median sibilant, so that it gets the full reduction. */
const UNDER_SIBILANTS_DB = 4
/** The threshold is at least this far below the median sibilant, even if the vowels come closer. */
const MIN_DISTANCE_DB = 3
const USUAL_RANGE_DB = 4
const HOT_RANGE_DB = 6
const MAX_RANGE_DB = 8
/** A shelf acts almost fully from its frequency up: at this share of the peak it covers the lower flank. */
const SHELF_UNDER_PEAK = 0.75
/** The edge of a voice reaches to 5 kHz, and a shelf from there is half open at 3.5 kHz already. */
const LOWEST_HZ = 5000
const HIGHEST_HZ = 9000
/** If the level two thirds of an octave above the peak is lower by more than this, a bell is enough. */
const NARROW_FALL_DB = 9
const EXPECTED_SPREAD_DB = 1.5

/** null if there are too few sibilants. */
export function suggestDeEss(
  { sibilance, fundamental }: VoiceAnalysed,
  history: readonly VoiceAnalysed[],
): ProposalOf<'de-ess'> | null {
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
    rangeDb = Math.min(MAX_RANGE_DB, Math.round(Math.max(rangeDb, USUAL_RANGE_DB + excessDb)))
    evidence.push({ kind: 'stronger-sibilants', excessDb, earlierTakes: usual.takes, rangeDb })
  }
  const overVowels = vowelRatioP95Db + OVER_VOWELS_DB
  const thresholdDb = Math.round(
    clamp(
      Math.min(Math.max(overVowels, ratioDb - rangeDb - UNDER_SIBILANTS_DB), ratioDb - MIN_DISTANCE_DB),
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
