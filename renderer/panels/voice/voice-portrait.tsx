// Portrait of a voice: long-term spectrum filled by strand, sibilants and noise as lines, pitch
// range and resonances marked.

import { STRANDS } from '../../../app/contract/joints.ts'
import type { VoiceAnalysed } from '../../../app/contract/voice-analysis.ts'
import { nearFrequency, noteOf, pitchWords } from '../../formats/voice/voice-words.ts'
import { evenAxis, frequencyAxis } from '../../parts/plot/axis.ts'
import { Plot } from '../../parts/plot/plot.tsx'
import { PlotArea, PlotCurve } from '../../parts/plot/plot-curves.tsx'
import { usePlotScale } from '../../parts/plot/plot-scale.ts'
import { spreadOut } from '../../parts/plot/spread-out.ts'
import { levelBetween, levelSpan, pieceOf, pointsOf, type SpectrumPoint } from './spectrum-shape.ts'
import './portrait.css'

/** Frequency axis for voices, which have little energy below 40 Hz. */
export const VOICE_AXIS = frequencyAxis(40)
const MAX_SPAN_DB = 70

/** Long-term spectrum with strands, sibilants, noise, pitch range and resonances. */
export function VoicePortrait({ analysis, heightPx }: { analysis: VoiceAnalysed; heightPx: number }) {
  const { spectrum, sibilance, noise, fundamental, resonances } = analysis
  const voiced = pointsOf(spectrum.levelsDbfs)
  const sibilant = pointsOf(sibilance.spectrum?.levelsDbfs ?? [])
  const quiet = pointsOf(noise?.levelsDbfs ?? [])
  const span = levelSpan([...spectrum.levelsDbfs, ...(sibilance.spectrum?.levelsDbfs ?? [])], MAX_SPAN_DB)
  return (
    <Plot
      label={inWords(analysis)}
      x={VOICE_AXIS}
      y={evenAxis('dBFS per third octave', span.fromDb, span.toDb, 10)}
      heightPx={heightPx}
    >
      <Water points={voiced} floorDb={span.fromDb} />
      <Line points={quiet} className="portrait-noise-ground" />
      <Line points={quiet} className="portrait-noise" />
      <Line points={voiced} className="portrait-voiced" />
      <Line points={sibilant} className="portrait-sibilant" />
      <Resonances voiced={voiced} resonances={resonances} />
      <Ranges
        fundamental={fundamental}
        sibilantHz={sibilance.peakHz}
        events={sibilance.events}
        floorDb={span.fromDb}
      />
    </Plot>
  )
}

function inWords({ spectrum, fundamental, sibilance, resonances }: VoiceAnalysed): string {
  const voiced = pointsOf(spectrum.levelsDbfs)
  const strongest = voiced.reduce((most, point) => (point.levelDb > most.levelDb ? point : most), voiced[0])
  return [
    `Long-term spectrum in third octaves, strongest at ${nearFrequency(strongest?.frequencyHz ?? 0)}`,
    `pitch from ${pitchWords(fundamental.p5Hz)} to ${pitchWords(fundamental.p95Hz)}`,
    ...(sibilance.peakHz === null ? [] : [`sibilants at ${nearFrequency(sibilance.peakHz)}`]),
    ...resonances.map(({ frequencyHz }) => `a resonance at ${nearFrequency(frequencyHz)}`),
  ].join('; ')
}

/** The spectrum filled down to the floor, each strand in its colour. */
function Water({ points, floorDb }: { points: readonly SpectrumPoint[]; floorDb: number }) {
  let fromHz = 0
  return STRANDS.map(({ name, toHz }) => {
    const piece = pieceOf(points, fromHz, toHz)
    fromHz = toHz
    return piece.length === 0 ? null : (
      <PlotArea
        key={name}
        xs={piece.map(({ frequencyHz }) => frequencyHz)}
        lows={piece.map(() => floorDb)}
        highs={piece.map(({ levelDb }) => levelDb)}
        fill={`var(--strand-${name})`}
        className="portrait-water"
      />
    )
  })
}

const Line = ({ points, className }: { points: readonly SpectrumPoint[]; className: string }) =>
  points.length < 2 ? null : (
    <PlotCurve
      xs={points.map(({ frequencyHz }) => frequencyHz)}
      ys={points.map(({ levelDb }) => levelDb)}
      className={className}
    />
  )

/** Width of a label with a gap, as in '≈ 12.5 kHz'. */
const NAME_PX = 62

/** Named in one row along the top, each with a line to its place on the spectrum. */
function Resonances(props: { voiced: readonly SpectrumPoint[]; resonances: VoiceAnalysed['resonances'] }) {
  const { x, y, top, left, right } = usePlotScale()
  const found = props.resonances.flatMap(({ frequencyHz }) => {
    const level = levelBetween(props.voiced, frequencyHz)
    return level === null ? [] : [{ frequencyHz, level }]
  })
  const namesX = spreadOut(
    found.map(({ frequencyHz }) => x(frequencyHz)),
    NAME_PX,
    left + NAME_PX / 2,
    right - NAME_PX / 2,
  )
  return found.map(({ frequencyHz, level }, index) => (
    <g key={frequencyHz} className="portrait-resonance">
      <line x1={namesX[index]} x2={x(frequencyHz)} y1={top + 18} y2={y(level)} />
      <text x={namesX[index]} y={top + 14} textAnchor="middle">
        {nearFrequency(frequencyHz)}
      </text>
    </g>
  ))
}

interface RangesProps {
  readonly fundamental: VoiceAnalysed['fundamental']
  readonly sibilantHz: number | null
  readonly events: VoiceAnalysed['sibilance']['events']
  readonly floorDb: number
}

/** Ranges of pitch and sibilants at the bottom of the plot. */
function Ranges({ fundamental, sibilantHz, events, floorDb }: RangesProps) {
  const { y } = usePlotScale()
  const ground = y(floorDb) - 8
  const peaks = events.map(({ peakHz }) => peakHz).sort((a, b) => a - b)
  return (
    <>
      <Span
        fromHz={fundamental.p5Hz}
        middleHz={fundamental.medianHz}
        toHz={fundamental.p95Hz}
        y={ground}
        name={`pitch ${noteOf(fundamental.p5Hz)} to ${noteOf(fundamental.p95Hz)}`}
      />
      {sibilantHz === null || peaks.length === 0 ? null : (
        <Span
          fromHz={peaks[Math.floor(0.1 * (peaks.length - 1))]}
          middleHz={sibilantHz}
          toHz={peaks[Math.ceil(0.9 * (peaks.length - 1))]}
          y={ground}
          name="sibilants"
        />
      )}
    </>
  )
}

function Span(props: { fromHz: number; middleHz: number; toHz: number; y: number; name: string }) {
  const { x } = usePlotScale()
  const { y } = props
  const left = x(props.fromHz)
  const right = Math.max(left + 2, x(props.toHz))
  return (
    <g className="portrait-span">
      <line x1={left} x2={right} y1={y} y2={y} />
      <line x1={left} x2={left} y1={y - 4} y2={y + 4} />
      <line x1={right} x2={right} y1={y - 4} y2={y + 4} />
      <circle cx={x(props.middleHz)} cy={y} r={3.5} />
      <text x={(left + right) / 2} y={y - 9} textAnchor="middle">
        {props.name}
      </text>
    </g>
  )
}
