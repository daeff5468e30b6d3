// The portrait of a voice as tables: bands, resonances, sibilants.

import type { Take } from '../../../app/contract/entities.ts'
import type { VoiceAnalysed } from '../../../app/contract/voice-analysis.ts'
import { formatDuration, formatFrequency, formatLevel, formatNumber } from '../../../app/words/format.ts'
import { nearFrequency } from '../../formats/voice/voice-words.ts'
import { Button } from '../../parts/button.tsx'
import { playPlace } from './audition.ts'
import { VOICE_BANDS_HZ } from './spectrum-shape.ts'

/** Third-octave levels in dBFS: voiced, sibilant, noise. */
export const BandLevelsTable = ({ analysis }: { analysis: VoiceAnalysed }) => (
  <table className="voice-table">
    <caption>
      RMS level per third octave in dBFS: {analysis.spectrum.frames} voiced frames, sibilants and pauses
    </caption>
    <thead>
      <tr>
        <th scope="col">Band</th>
        <th scope="col">Voiced</th>
        <th scope="col">Sibilant</th>
        <th scope="col">Noise</th>
      </tr>
    </thead>
    <tbody>
      {VOICE_BANDS_HZ.map((frequencyHz, i) => (
        <tr key={frequencyHz}>
          <th scope="row">{formatFrequency(frequencyHz)}</th>
          <td>{formatLevel(analysis.spectrum.levelsDbfs[i], '')}</td>
          <td>{formatLevel(analysis.sibilance.spectrum?.levelsDbfs[i], '')}</td>
          <td>{formatLevel(analysis.noise?.levelsDbfs[i], '')}</td>
        </tr>
      ))}
    </tbody>
  </table>
)

/** Resonances with prominence in dB, Q, and the share of time they are present. */
export const ResonanceTable = ({ resonances }: { resonances: VoiceAnalysed['resonances'] }) => (
  <table className="voice-table">
    <caption>
      Spectral peaks that are not harmonics. Steady formants are included; compare with earlier takes to see
      which belong to this voice.
    </caption>
    <thead>
      <tr>
        <th scope="col">Resonance</th>
        <th scope="col">Prominence, dB</th>
        <th scope="col">Q</th>
        <th scope="col">Present, % of time</th>
      </tr>
    </thead>
    <tbody>
      {resonances.map(({ frequencyHz, prominenceDb, q, persistencePercent }) => (
        <tr key={frequencyHz}>
          <th scope="row">{nearFrequency(frequencyHz)}</th>
          <td>{formatNumber(prominenceDb, 1)}</td>
          <td>{formatNumber(q, 1)}</td>
          <td>{formatNumber(persistencePercent, 0)}</td>
        </tr>
      ))}
    </tbody>
  </table>
)

export interface SibilantTableProps {
  readonly take: Take
  readonly sessionRateHz: number
  readonly events: VoiceAnalysed['sibilance']['events']
}

/** Sibilants, strongest first; each can be played. */
export const SibilantTable = ({ take, sessionRateHz, events }: SibilantTableProps) => (
  <table className="voice-table">
    <caption>Sibilants, strongest first. Ratio: sibilant band to the rest of the spectrum</caption>
    <thead>
      <tr>
        <th scope="col">Time</th>
        <th scope="col">Length, ms</th>
        <th scope="col">Peak</th>
        <th scope="col">Level, dBFS</th>
        <th scope="col">Ratio, dB</th>
      </tr>
    </thead>
    <tbody>
      {[...events]
        .sort((a, b) => a.rank - b.rank)
        .map(({ startSeconds, endSeconds, peakHz, levelDbfs, ratioDb, rank }) => (
          <tr key={rank}>
            <th scope="row">
              <Button
                look="plain"
                className="place-button number"
                aria-label={`Listen to the sibilant at ${formatDuration(startSeconds)}`}
                onPress={() => playPlace(take, sessionRateHz, { fromS: startSeconds })}
              >
                {formatDuration(startSeconds)}
              </Button>
            </th>
            <td>{formatNumber((endSeconds - startSeconds) * 1000, 0)}</td>
            <td>{nearFrequency(peakHz)}</td>
            <td>{formatNumber(levelDbfs, 1)}</td>
            <td>{formatNumber(ratioDb, 1)}</td>
          </tr>
        ))}
    </tbody>
  </table>
)
