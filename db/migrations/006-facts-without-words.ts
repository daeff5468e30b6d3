// Reduces the facts of takes to kinds and numbers. Versions up to 5 also stored sentences; numbers that
// appeared only in those become separate fields.

import type { Database } from 'better-sqlite3'
import { Failure } from '../../app/contract/failure.ts'
import type { Migration } from '../care/migrate.ts'

export const factsWithoutWords: Migration = {
  number: 6,
  migrate(db: Database): void {
    const guard = db
      .prepare<[], string>("SELECT sql FROM sqlite_schema WHERE name = 'takes_are_immutable'")
      .pluck()
      .get()
    if (guard === undefined) throw new Error('the trigger takes_are_immutable is missing')
    const change = db.prepare<[string, number]>('UPDATE takes SET facts = ? WHERE id = ?')
    const ids = db.prepare<[], number>('SELECT id FROM takes ORDER BY id').pluck().all()
    const one = db.prepare<[number], Row>(
      'SELECT id, name, frames, sample_rate_hz AS sampleRateHz, facts FROM takes WHERE id = ?',
    )
    db.exec('DROP TRIGGER takes_are_immutable')
    for (const id of ids) {
      const take = one.get(id)
      if (take !== undefined) change.run(JSON.stringify(factsOf(take)), id)
    }
    db.exec(guard)
  },
}

interface Row {
  readonly id: number
  readonly name: string
  readonly frames: number
  readonly sampleRateHz: number
  readonly facts: string
}

interface OldFinding {
  readonly kind: string
  readonly unit: string
  readonly meaning: string
  readonly remedy: string
}

interface OldFacts {
  readonly findings: readonly OldFinding[]
  readonly check?: {
    readonly floorDbfs: number
    readonly phrases: readonly unknown[]
    readonly polarity: { readonly voicedSeconds: number }
    readonly hum: {
      readonly fundamentalHz: number
      readonly rateRatio: number
      readonly harmonics: readonly { readonly harmonic: number }[]
    } | null
    readonly edge: { readonly dropDb: number; readonly fromRateHz: number | null } | null
    readonly trackedCompression: { readonly noiseRiseDb: number | null }
  }
  readonly voice?: { readonly outcome: string; readonly reason?: string }
}

/** The limits of all earlier versions, for sentences that do not state them. */
const NEEDED_SECONDS = 10
const MIN_CONFIDENCE = 3
const MIN_RUN_SAMPLES = 3

function factsOf(take: Row): unknown {
  const facts = JSON.parse(take.facts) as OldFacts
  const findings = facts.findings.map((finding) => {
    const { meaning, remedy, ...figures } = finding
    const detail = detailOf(finding, facts.check, take.sampleRateHz)
    if (detail !== null) return { ...figures, ...detail }
    throw new Failure(
      'catalogue-damaged',
      `The catalogue cannot be brought to the newest version: the take ${take.name} has a finding "${finding.kind}" that no version of Takeloft has written. Put back an earlier copy of the catalogue.`,
      { takeId: take.id, kind: finding.kind },
    )
  })
  return { ...facts, findings, ...(facts.voice === undefined ? {} : { voice: voiceOf(facts.voice, take) }) }
}

/** The details that are not among the figures of a finding; null if they cannot be read. */
function detailOf(
  { kind, unit, meaning }: OldFinding,
  check: OldFacts['check'],
  sampleRateHz: number,
): object | null {
  switch (kind) {
    case 'clipping':
      return { leastRunSamples: Number(/runs of (\d+) samples/.exec(meaning)?.[1] ?? MIN_RUN_SAMPLES) }
    case 'dc-offset':
      return { where: meaning.startsWith('In the pauses') ? 'pauses' : 'throughout' }
    case 'not-one-voice':
      return { because: unit === 's' ? 'no-pause' : 'low-sound' }
    case 'over-full-scale':
    case 'silent':
    case 'clicks':
    case 'pops':
    case 'opposite-channels':
    case 'too-short':
      return {}
    default:
      return check === undefined ? null : checkDetailOf(kind, meaning, check, sampleRateHz)
  }
}

/** The details for kinds that only a check finds; its measurements were stored beside its findings. */
function checkDetailOf(
  kind: string,
  meaning: string,
  check: NonNullable<OldFacts['check']>,
  sampleRateHz: number,
): object | null {
  const { hum, edge } = check
  switch (kind) {
    case 'noise-floor':
      return { floorDbfs: check.floorDbfs }
    case 'hum':
      return hum && { fundamentalHz: hum.fundamentalHz, harmonics: hum.harmonics.map((one) => one.harmonic) }
    case 'wrong-rate':
      // The sentence has one more decimal place than the stored check.
      return hum && { rateRatio: Number(/played ([\d.]+) times/.exec(meaning)?.[1] ?? hum.rateRatio) }
    case 'inverted-polarity':
      return { voicedSeconds: check.polarity.voicedSeconds, leastConfidence: MIN_CONFIDENCE }
    case 'likely-compressed':
      return { noiseRiseDb: check.trackedCompression.noiseRiseDb }
    case 'converted-rate':
      return edge && { dropDb: edge.dropDb, fromRateHz: edge.fromRateHz }
    case 'lossy-bandwidth':
      return edge && { dropDb: edge.dropDb }
    case 'same-performance':
      return sameAs(meaning, check.phrases.length, sampleRateHz)
    default:
      return null
  }
}

// The other take's name may contain anything, so both ends of the sentence are matched completely.
const SAME_PERFORMANCE =
  /^(?:This is|(?<shared>\d+) of (?<all>\d+) phrases (?:is|are)) the same performance as (?<otherTake>.*), (?:at the same place|[\d.]+ s \((?<frames>\d+) samples\) (?<side>later|earlier) there)(?<inverted>, with the polarity turned)?: together they are louder or comb, and do not thicken\.$/s

function sameAs(meaning: string, phrases: number, sampleRateHz: number): object | null {
  const found = SAME_PERFORMANCE.exec(meaning)?.groups
  if (found === undefined) return null
  const lagFrames = Number(found.frames ?? 0) * (found.side === 'earlier' ? -1 : 1)
  return {
    otherTake: found.otherTake,
    sharedPhrases: Number(found.shared ?? phrases),
    phrases: Number(found.all ?? phrases),
    // Computed from the frames, because the sentence rounds it to a tenth of a millisecond.
    lagSeconds: lagFrames / sampleRateHz,
    lagFrames,
    isInverted: found.inverted !== undefined,
  }
}

function voiceOf({ reason, ...voice }: NonNullable<OldFacts['voice']>, take: Row): object {
  if (reason === undefined) return voice
  return {
    ...voice,
    why: whyOf(reason),
    takeSeconds: take.frames / take.sampleRateHz,
    neededSeconds: NEEDED_SECONDS,
  }
}

function whyOf(reason: string): string {
  if (reason.startsWith('The take is silent')) return 'silent'
  if (reason.startsWith('The take has')) return 'too-short'
  return reason.startsWith('Only') ? 'unpitched' : 'unclear'
}
