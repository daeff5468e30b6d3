// Curves of mics and corrections in one plot, with the levels under the pointer.

import { type ReactNode, useState } from 'react'
import type { CurvePoints } from '../../../../app/contract/curve.ts'
import { formatFrequency, formatNumber } from '../../../../app/words/format.ts'
import { FREQUENCY_AXIS, levelAxis } from '../../../parts/plot/axis.ts'
import { Plot } from '../../../parts/plot/plot.tsx'
import { type CurveLook, PlotCurve, PlotUpright } from '../../../parts/plot/plot-curves.tsx'
import { usePlotScale } from '../../../parts/plot/plot-scale.ts'
import { levelRange, levelWithin } from './curve-levels.ts'

/** One curve of the plot. */
export interface PlotSeries {
  readonly key: string | number
  /** Shown in the readings. */
  readonly name: string
  readonly points: CurvePoints
  readonly look: CurveLook
  /** Added to every level. */
  readonly shiftDb?: number
}

export interface CurvePlotProps {
  readonly series: readonly PlotSeries[]
  /** What the plot shows, for screen readers. */
  readonly label: string
  /** Minimum of the level axis in dB, above and below 0 dB. Default 10. */
  readonly leastDb?: number
  /** Maximum of the level axis in dB, above and below 0 dB; higher levels are cut off. Default 60. */
  readonly mostDb?: number
  /** The range that has data or is corrected; the rest is shaded. */
  readonly range?: { readonly fromHz: number; readonly toHz: number }
  /** Sets the height. */
  readonly className: string
}

const CURVE_LOOKS: readonly CurveLook[] = [
  { colour: 'var(--wave-lead)', dash: '' },
  { colour: 'var(--ink)', dash: '7 4' },
  { colour: 'var(--wave-ad-lib)', dash: '2 4' },
  { colour: 'var(--wave-harmony)', dash: '10 3 2 3' },
  { colour: 'var(--wave-double)', dash: '4 2' },
  { colour: 'var(--ink-soft)', dash: '12 3' },
]

/** Look of the n-th curve in the list, from 0; looks repeat after six. */
export const curveLook = (index: number): CurveLook => CURVE_LOOKS[index % CURVE_LOOKS.length]!

/** Plot from 20 Hz to 20 kHz, with a level axis for all series. Fills the height that `className` sets. */
export function CurvePlot({
  series,
  label,
  leastDb = 10,
  mostDb = 60,
  range,
  className,
}: CurvePlotProps): ReactNode {
  const [pointedHz, setPointedHz] = useState<number | null>(null)
  const { lowDb, highDb } = levelRange(
    series.map(({ points }) => points),
    series.map(({ shiftDb }) => shiftDb ?? 0),
    leastDb,
    mostDb,
  )
  return (
    <div className={`curve-plot ${className}`}>
      <Plot
        layout="sheet"
        label={label}
        x={FREQUENCY_AXIS}
        y={(fieldPx) => levelAxis('dB', lowDb, highDb, fieldPx)}
        onPoint={setPointedHz}
        ground={range === undefined ? null : <Outside {...range} />}
      >
        {series.map(({ key, points, look, shiftDb = 0 }) => (
          <PlotCurve
            key={key}
            xs={points.frequenciesHz}
            ys={points.levelsDb.map((levelDb) => levelDb + shiftDb)}
            look={look}
          />
        ))}
        {pointedHz === null ? null : <PlotUpright at={pointedHz} className="plot-reading-line" />}
      </Plot>
      {pointedHz === null ? null : <Readings series={series} frequencyHz={pointedHz} />}
    </div>
  )
}

/** Shades the plot outside a range. */
function Outside({ fromHz, toHz }: { fromHz: number; toHz: number }): ReactNode {
  const { x, left, right, top, bottom } = usePlotScale()
  const fromPx = Math.max(left, x(fromHz))
  const toPx = Math.min(right, x(toHz))
  return (
    <g className="plot-outside">
      <rect x={left} y={top} width={fromPx - left} height={bottom - top} />
      <rect x={toPx} y={top} width={right - toPx} height={bottom - top} />
    </g>
  )
}

/** Levels under the pointer, shown in the other half of the plot. */
function Readings({ series, frequencyHz }: { series: readonly PlotSeries[]; frequencyHz: number }) {
  const middleHz = Math.sqrt(FREQUENCY_AXIS.from * FREQUENCY_AXIS.to)
  return (
    <div className="plot-readings" data-side={frequencyHz > middleHz ? 'left' : 'right'}>
      <span className="plot-readings-hz">{formatFrequency(Number(frequencyHz.toPrecision(3)))}</span>
      {series.map(({ key, name, points, look, shiftDb = 0 }) => {
        const levelDb = levelWithin(points, frequencyHz)
        return (
          <span key={key} className="plot-reading">
            <LookSign look={look} />
            <span className="plot-reading-name">{name}</span>
            <span className="number">{levelDb === null ? 'no data' : signed(levelDb + shiftDb)}</span>
          </span>
        )
      })}
    </div>
  )
}

/** A level without its unit: +1.5, 0.0, or with a minus sign (U+2212). */
export const signed = (levelDb: number, places = 1): string =>
  `${Number(levelDb.toFixed(places)) > 0 ? '+' : ''}${formatNumber(levelDb, places)}`

/** A short sample of a curve's line, for legends and lists. */
export const LookSign = ({ look }: { look: CurveLook }) => (
  <svg className="look-sign" width="30" height="10" aria-hidden="true">
    <line
      x1="0"
      x2="30"
      y1="5"
      y2="5"
      stroke={look.colour}
      strokeDasharray={look.dash}
      strokeWidth={look.width ?? 2.5}
    />
  </svg>
)
