// Today's take beside the voice's own history: each band in the spread that is usual, what
// left it in sentences, and level, noise, distance and sibilance on lines.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { SoundcheckMeasure } from '../../../app/contract/voice-analysis.ts'
import { notEnoughHistory, soundcheckSentences } from '../../../app/words/soundcheck.ts'
import { countOf, formatFrequency, formatGain, formatNumber } from '../../formats/format.ts'
import { asRead } from '../../formats/voice/voice-words.ts'
import { Button } from '../../parts/button.tsx'
import { evenAxis, Plot, PlotCurve, usePlotScale } from '../../parts/plot/plot.tsx'
import { ListeningLine } from './listening.tsx'
import { UsualLine } from './usual-line.tsx'
import { VOICE_AXIS } from './voice-portrait.tsx'
import { soundcheckKey, soundcheckQuery } from './voice-queries.ts'

const PLOT_PX = 270

const MEASURE_WORDS: Readonly<Record<SoundcheckMeasure['name'], string>> = {
  band: 'Band',
  level: 'Level of the voice, dBFS',
  'noise-floor': 'Noise floor beside the level of the voice, dB',
  distance: 'Distance: 100 to 250 Hz beside 0.63 to 2 kHz, dB',
  sibilance: 'Sibilance, upper quarter, dB',
}

export function SoundcheckView({ takeId }: { takeId: number }) {
  const { data, error } = useQuery(soundcheckQuery(takeId))
  const [showsNumbers, setShowsNumbers] = useState(false)
  if (error !== null) return <p className="voice-says">{asRead(error.message)}</p>
  if (data === undefined) {
    return <ListeningLine of={soundcheckKey(takeId)} otherwise="Listening to the earlier takes…" />
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
          <p>
            As usual: nothing is further off than is still usual beside this voice’s{' '}
            {countOf(data.earlierTakes, 'earlier take')}.
          </p>
        ) : (
          <ul aria-label="What is unusual">
            {sentences.map((sentence) => (
              <li key={sentence}>{asRead(sentence)}</li>
            ))}
          </ul>
        )}
        <p className="soft">
          Beside {countOf(data.earlierTakes, 'take')} of earlier sessions.{' '}
          {data.isMicTakenOut ? 'The curves of the mics are taken out. ' : ''}
          {data.remarks.join(' ')}
        </p>
      </div>
      <SoundcheckPlot bands={bands} />
      <ul className="portrait-key">
        <li>
          <span className="sign-line sign-voiced" /> this take
        </li>
        <li>
          <span className="sign-line sign-usual" /> usual
        </li>
        <li>
          <span className="sign-area sign-spread" /> spread
        </li>
        <li>
          <span className="sign-area sign-limit" /> still usual
        </li>
        <li>
          <span className="sign-dot" /> unusual
        </li>
        <li className="portrait-key-act">
          <Button look="plain" aria-expanded={showsNumbers} onPress={() => setShowsNumbers(!showsNumbers)}>
            {showsNumbers ? 'Hide the table' : 'As a table'}
          </Button>
        </li>
      </ul>
      {showsNumbers ? (
        <MeasureTable caption="Third octaves in dB beside the mean of 315 Hz to 3.15 kHz." measures={bands} />
      ) : null}
      <MeasureTable caption="The whole take." measures={others} />
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
      label={`Third octaves of this take beside what is usual of the voice; ${unusual.length === 0 ? 'none left its spread' : `outside: ${unusual.map(({ frequencyHz }) => formatFrequency(frequencyHz ?? 0)).join(', ')}`}`}
      x={VOICE_AXIS}
      y={evenAxis('dB beside the mean of 315 Hz to 3.15 kHz', fromDb, toDb, 10, true)}
      heightPx={PLOT_PX}
    >
      <Area bands={bands} reach="limit" />
      <Area bands={bands} reach="spread" />
      <PlotCurve xs={xs} ys={bands.map(({ usual }) => usual.mean)} className="soundcheck-usual" />
      <PlotCurve xs={xs} ys={bands.map(({ today }) => today)} className="soundcheck-today" />
      <Dots bands={unusual} />
    </Plot>
  )
}

function Area({ bands, reach }: { bands: readonly SoundcheckMeasure[]; reach: 'limit' | 'spread' }) {
  const { x, y } = usePlotScale()
  if (bands.length === 0) return null
  const edge = (sign: 1 | -1): string[] =>
    bands.map(
      ({ frequencyHz, usual }) =>
        `${x(frequencyHz ?? 0).toFixed(1)} ${y(usual.mean + sign * usual[reach]).toFixed(1)}`,
    )
  return <path className={`soundcheck-${reach}`} d={`M${[...edge(1), ...edge(-1).reverse()].join('L')}Z`} />
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
          <th scope="col">this take</th>
          <th scope="col">usual</th>
          <th scope="col">differs</th>
          <th scope="col">
            <span className="visually-hidden">as a picture</span>
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
              {isUnusual ? <span className="visually-hidden"> unusual</span> : null}
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
