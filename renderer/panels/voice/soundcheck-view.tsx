// Soundcheck: compares a take with earlier takes of the voice, by band and by level, noise,
// distance and sibilance. Sentences name whatever is outside the usual range.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { SoundcheckMeasure } from '../../../app/contract/voice-analysis.ts'
import { formatFrequency, formatGain, formatNumber } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { notEnoughHistory, soundcheckSentences } from '../../../app/words/soundcheck.ts'
import { asRead } from '../../formats/voice/voice-words.ts'
import { Button } from '../../parts/button.tsx'
import { evenAxis } from '../../parts/plot/axis.ts'
import { Plot } from '../../parts/plot/plot.tsx'
import { PlotArea, PlotCurve } from '../../parts/plot/plot-curves.tsx'
import { usePlotScale } from '../../parts/plot/plot-scale.ts'
import { AnalysisProgress } from './analysis-progress.tsx'
import { UsualLine } from './usual-line.tsx'
import { VOICE_AXIS } from './voice-portrait.tsx'
import { soundcheckKey, soundcheckQuery } from './voice-queries.ts'

const PLOT_PX = 270

const MEASURE_WORDS: Readonly<Record<SoundcheckMeasure['name'], string>> = {
  band: 'Band',
  level: 'Voice level, dBFS',
  'noise-floor': 'Noise floor relative to voice level, dB',
  distance: 'Distance: 100 to 250 Hz relative to 0.63 to 2 kHz, dB',
  sibilance: 'Sibilance, upper quartile, dB',
}

/** Compares a take with earlier takes of the same voice: sentences, a plot and a table. */
export function SoundcheckView({ takeId }: { takeId: number }) {
  const { data, error } = useQuery(soundcheckQuery(takeId))
  const [showsNumbers, setShowsNumbers] = useState(false)
  if (error !== null) return <p className="voice-says">{asRead(error.message)}</p>
  if (data === undefined) {
    return <AnalysisProgress of={soundcheckKey(takeId)} otherwise="Analysing earlier takes…" />
  }
  if (data.outcome === 'not-enough-history') {
    return <p className="voice-says">{asRead(notEnoughHistory(data))}</p>
  }
  const sentences = soundcheckSentences(data.measures)
  const bands = data.measures.filter(({ name }) => name === 'band')
  const others = data.measures.filter(({ name }) => name !== 'band')
  return (
    <div className="voice-view">
      <div className="soundcheck-says">
        {sentences.length === 0 ? (
          <p>Everything is within this voice’s usual range.</p>
        ) : (
          <ul aria-label="Outside the usual range">
            {sentences.map((sentence) => (
              <li key={sentence}>{asRead(sentence)}</li>
            ))}
          </ul>
        )}
        <p className="soft">
          Compared with {countOf(data.earlierTakes, 'take')} from earlier sessions.{' '}
          {data.isMicTakenOut ? 'Mic curves are compensated. ' : ''}
          {data.remarks.join(' ')}
        </p>
      </div>
      <SoundcheckPlot bands={bands} />
      <ul className="portrait-key">
        <li>
          <span className="sign-line sign-voiced" /> this take
        </li>
        <li>
          <span className="sign-line sign-usual" /> mean
        </li>
        <li>
          <span className="sign-area sign-spread" /> standard deviation
        </li>
        <li>
          <span className="sign-area sign-limit" /> usual range
        </li>
        <li>
          <span className="sign-dot" /> outside
        </li>
        <li className="portrait-key-act">
          <Button look="plain" aria-expanded={showsNumbers} onPress={() => setShowsNumbers(!showsNumbers)}>
            {showsNumbers ? 'Hide table' : 'Show table'}
          </Button>
        </li>
      </ul>
      {showsNumbers ? (
        <MeasureTable
          caption="Third-octave levels in dB relative to the mean of 315 Hz to 3.15 kHz"
          measures={bands}
        />
      ) : null}
      <MeasureTable caption="Whole take" measures={others} />
    </div>
  )
}

function SoundcheckPlot({ bands }: { bands: readonly SoundcheckMeasure[] }) {
  const levels = bands.flatMap(({ today, usual }) => [
    today,
    usual.mean - usual.limit,
    usual.mean + usual.limit,
  ])
  const fromDb = Math.floor((Math.min(-10, ...levels) - 2) / 10) * 10
  const toDb = Math.ceil((Math.max(10, ...levels) + 2) / 10) * 10
  const xs = bands.map(({ frequencyHz }) => frequencyHz ?? 0)
  const unusual = bands.filter(({ isUnusual }) => isUnusual)
  return (
    <Plot
      label={`Third-octave levels of this take and the voice’s usual range; ${unusual.length === 0 ? 'none outside' : `outside: ${unusual.map(({ frequencyHz }) => formatFrequency(frequencyHz ?? 0)).join(', ')}`}`}
      x={VOICE_AXIS}
      y={evenAxis('dB relative to the mean of 315 Hz to 3.15 kHz', fromDb, toDb, 10, true)}
      heightPx={PLOT_PX}
    >
      {(['limit', 'spread'] as const).map((reach) => (
        <PlotArea
          key={reach}
          xs={xs}
          lows={bands.map(({ usual }) => usual.mean - usual[reach])}
          highs={bands.map(({ usual }) => usual.mean + usual[reach])}
          className={`soundcheck-${reach}`}
        />
      ))}
      <PlotCurve xs={xs} ys={bands.map(({ usual }) => usual.mean)} className="soundcheck-usual" />
      <PlotCurve xs={xs} ys={bands.map(({ today }) => today)} className="soundcheck-today" />
      <Dots bands={unusual} />
    </Plot>
  )
}

function Dots({ bands }: { bands: readonly SoundcheckMeasure[] }) {
  const { x, y } = usePlotScale()
  return bands.map(({ frequencyHz, today }) => (
    <circle key={frequencyHz} className="soundcheck-dot" cx={x(frequencyHz ?? 0)} cy={y(today)} r={4.5} />
  ))
}

function MeasureTable({ measures, caption }: { measures: readonly SoundcheckMeasure[]; caption: string }) {
  if (measures.length === 0) return null
  return (
    <table className="voice-table balance-table">
      <caption>{caption}</caption>
      <thead>
        <tr>
          <th scope="col">Measure</th>
          <th scope="col">This take</th>
          <th scope="col">Usual</th>
          <th scope="col">Difference</th>
          <th scope="col">
            <span className="visually-hidden">Chart</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {measures.map(({ name, frequencyHz, today, usual, isUnusual }) => (
          <tr key={`${name} ${frequencyHz}`} data-unusual={isUnusual || undefined}>
            <th scope="row">{frequencyHz === null ? MEASURE_WORDS[name] : formatFrequency(frequencyHz)}</th>
            <td>{formatNumber(today, 1)}</td>
            <td>
              {formatNumber(usual.mean, 1)} ± {formatNumber(usual.spread, 1)}
            </td>
            <td>
              {formatGain(today - usual.mean)}
              {isUnusual ? <span className="visually-hidden"> outside the usual range</span> : null}
            </td>
            <td>
              <UsualLine today={today} usual={usual} />
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
