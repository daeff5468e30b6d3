// The pictures of a voice as numbers: bands, sibilants, resonances.

import type { Take } from '../../../app/contract/entities.ts'
import type { VoiceAnalysed } from '../../../app/contract/voice-analysis.ts'
import { formatDuration, formatFrequency, formatLevel, formatNumber } from '../../formats/format.ts'
import { nearFrequency } from '../../formats/voice/voice-words.ts'
import { Button } from '../../parts/button.tsx'
import { playPlace } from './audition.ts'
import { VOICE_BANDS_HZ } from './spectrum-shape.ts'

export const BandLevelsTable = ({ analysis }: { analysis: VoiceAnalysed }) => (
  <table className="voice-table">
    <caption>
      RMS level in each third octave over {analysis.spectrum.frames} frames with voice, in the sibilants, and
      in the pauses, dBFS.
    </caption>
    <thead>
      <tr>
        <th scope="col">Band</th>
        <th scope="col">voiced</th>
        <th scope="col">sibilant</th>
        <th scope="col">noise</th>
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

export const ResonanceTable = ({ resonances }: { resonances: VoiceAnalysed['resonances'] }) => (
  <table className="voice-table">
    <caption>
      Humps of the spectrum that are no harmonics. Formants that stand still are among them; what is more than
      this voice’s own, its history tells.
    </caption>
    <thead>
      <tr>
        <th scope="col">Resonance</th>
        <th scope="col">stands out, dB</th>
        <th scope="col">Q</th>
        <th scope="col">of the seconds, %</th>
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

export const SibilantTable = ({ take, sessionRateHz, events }: SibilantTableProps) => (
  <table className="voice-table">
    <caption>Sibilants, the sharpest first: how far they stand over the rest of their moment.</caption>
    <thead>
      <tr>
        <th scope="col">At</th>
        <th scope="col">ms</th>
        <th scope="col">peak</th>
        <th scope="col">level, dBFS</th>
        <th scope="col">ratio, dB</th>
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
