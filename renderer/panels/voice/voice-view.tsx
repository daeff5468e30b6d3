// Voice analysis of a take: portrait, pitch and level, sibilants on the waveform, and band
// balance.

import { useState } from 'react'
import type { Take } from '../../../app/contract/entities.ts'
import type { UsualBalances, VoiceAnalysed } from '../../../app/contract/voice-analysis.ts'
import { formatLevel, formatNumber, withUnit } from '../../../app/words/format.ts'
import { nearFrequency, pitchWords } from '../../formats/voice/voice-words.ts'
import { Button } from '../../parts/button.tsx'
import { BalanceTable } from './balance-table.tsx'
import { MarkedWave, type WaveMark } from './marked-wave.tsx'
import { VoicePortrait } from './voice-portrait.tsx'
import { BandLevelsTable, ResonanceTable, SibilantTable } from './voice-tables.tsx'

const PORTRAIT_PX = 270
const WAVE_PX = 48

export interface VoiceViewProps {
  readonly take: Take
  readonly sessionRateHz: number
  readonly analysis: VoiceAnalysed
  readonly usual: UsualBalances
  /** Sentences about the comparison: mics of the earlier takes, and takes that were left out. */
  readonly remarks: readonly string[]
}

/** The Voice tab: portrait, pitch, level, resonances, sibilants and band balance. */
export function VoiceView({ take, sessionRateHz, analysis, usual, remarks }: VoiceViewProps) {
  const [showsNumbers, setShowsNumbers] = useState(false)
  const { fundamental, sibilance, resonances } = analysis
  return (
    <div className="voice-view">
      <VoicePortrait analysis={analysis} heightPx={PORTRAIT_PX} />
      <ul className="portrait-key">
        <li>
          <span className="sign-line sign-voiced" /> voiced
        </li>
        <li>
          <span className="sign-line sign-sibilant" /> sibilant
        </li>
        <li>
          <span className="sign-line sign-noise" />{' '}
          {analysis.noise === null ? 'noise: no pause long enough to measure' : 'noise in the pauses'}
        </li>
        <li className="portrait-key-act">
          <Button look="plain" aria-expanded={showsNumbers} onPress={() => setShowsNumbers(!showsNumbers)}>
            {showsNumbers ? 'Hide tables' : 'Show tables'}
          </Button>
        </li>
      </ul>
      {showsNumbers ? (
        <div className="voice-tables">
          <BandLevelsTable analysis={analysis} />
          <div>
            {resonances.length === 0 ? null : <ResonanceTable resonances={resonances} />}
            {sibilance.events.length === 0 ? null : (
              <SibilantTable take={take} sessionRateHz={sessionRateHz} events={sibilance.events} />
            )}
          </div>
        </div>
      ) : null}
      <dl className="voice-facts">
        <div>
          <dt>Pitch</dt>
          <dd>
            median {pitchWords(fundamental.medianHz)}; 90 % between {pitchWords(fundamental.p5Hz)} and{' '}
            {pitchWords(fundamental.p95Hz)}
          </dd>
        </div>
        <div>
          <dt>Level</dt>
          <dd>
            {formatLevel(analysis.voiceLevelDbfs, 'dBFS')} RMS while voiced; quiet passages{' '}
            {formatLevel(analysis.quietLevelDbfs, 'dBFS')}, loud passages{' '}
            {formatLevel(analysis.loudLevelDbfs, 'dBFS')}
          </dd>
        </div>
        <div>
          <dt>Resonances</dt>
          <dd>
            {resonances.length === 0
              ? 'none prominent'
              : resonances
                  .map(
                    ({ frequencyHz, prominenceDb }) =>
                      `${nearFrequency(frequencyHz)} (+${withUnit(formatNumber(prominenceDb, 1), 'dB')})`,
                  )
                  .join(', ')
                  .concat(', relative to the surrounding octave')}
          </dd>
        </div>
        <div>
          <dt>Sibilants</dt>
          <dd>{sibilantWords(analysis)}</dd>
        </div>
      </dl>
      <MarkedWave
        take={take}
        sessionRateHz={sessionRateHz}
        heightPx={WAVE_PX}
        marks={sibilantMarks(analysis)}
      />
      <BalanceTable bands={analysis.bands} usual={usual} />
      {remarks.length === 0 ? null : <p className="soft">{remarks.join(' ')}</p>}
    </div>
  )
}

function sibilantWords({ sibilance }: VoiceAnalysed): string {
  const { events, peakHz, ratioDb, hotRatioDb } = sibilance
  if (events.length === 0 || peakHz === null) return 'none detected'
  const hot = hotRatioDb === null ? 0 : events.filter((event) => event.ratioDb > hotRatioDb).length
  return [
    `${events.length}, peak at ${nearFrequency(peakHz)} (median)`,
    ...(ratioDb === null
      ? []
      : [`${withUnit(formatNumber(ratioDb, 1), 'dB')} above the rest of the spectrum`]),
    hot === 0 ? 'none excessive' : `${hot} excessive`,
  ].join(', ')
}

function sibilantMarks({ sibilance: { events, hotRatioDb } }: VoiceAnalysed): readonly WaveMark[] {
  return events.map(({ startSeconds, endSeconds, peakHz, ratioDb }) => ({
    fromS: startSeconds,
    toS: endSeconds,
    kind: hotRatioDb !== null && ratioDb > hotRatioDb ? 'hot' : 'event',
    name: `Sibilant at ${nearFrequency(peakHz)}, ${withUnit(formatNumber(ratioDb, 1), 'dB')} above the rest of the spectrum`,
  }))
}
