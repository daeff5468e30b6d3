// Curves over a log frequency axis, several on one sheet, with a line to read them at.

import { type ReactNode, useId, useState } from 'react'
import type { CurvePoints } from '../../../app/contract/curve.ts'
import { formatFrequency, formatNumber } from '../../formats/format.ts'
import { useSize } from '../../parts/use-size.ts'
import {
  AXIS_FREQUENCIES_HZ,
  alongAxis,
  HIGHEST_HZ,
  LOWEST_HZ,
  levelRange,
  levelWithin,
  OCTAVE_LABELS_HZ,
} from './curve-axes.ts'

export interface PlotSeries {
  readonly key: string | number
  readonly name: string
  readonly points: CurvePoints
  readonly look: CurveLook
  /** Added to every level. */
  readonly shiftDb?: number
}

export interface CurveLook {
  readonly colour: string
  readonly dash: string
  readonly width?: number
}

export interface CurvePlotProps {
  readonly series: readonly PlotSeries[]
  /** What the picture shows, for those who cannot see it. */
  readonly label: string
  /** The level axis reaches at least so far both ways. */
  readonly leastDb?: number
  /** and at most so far; what goes beyond is cut. */
  readonly mostDb?: number
  /** Beyond it nothing is known or done; drawn a little darker. */
  readonly range?: { readonly fromHz: number; readonly toHz: number }
  readonly levelName?: string
  readonly showsReadings?: boolean
  readonly className?: string
}

/** Colour and dash together, so that neither alone has to tell curves apart. */
export const CURVE_LOOKS: readonly CurveLook[] = [
  { colour: 'var(--wave-lead)', dash: '' },
  { colour: 'var(--ink)', dash: '7 4' },
  { colour: 'var(--wave-ad-lib)', dash: '2 4' },
  { colour: 'var(--wave-harmony)', dash: '10 3 2 3' },
  { colour: 'var(--wave-double)', dash: '4 2' },
  { colour: 'var(--ink-soft)', dash: '12 3' },
]

export const curveLook = (index: number): CurveLook => CURVE_LOOKS[index % CURVE_LOOKS.length]!

const MARGIN = { left: 52, right: 14, top: 12, bottom: 40 }
/** A sheet far wider than high makes slopes look flat. */
const LEAST_LABEL_PX = 26

const axisFrequency = (frequencyHz: number): string =>
  frequencyHz >= 1000 ? `${frequencyHz / 1000}k` : String(frequencyHz)

export function CurvePlot({
  series,
  label,
  leastDb = 10,
  mostDb = 60,
  range,
  levelName = 'dB',
  showsReadings = true,
  className = '',
}: CurvePlotProps) {
  const [frame, { width, height }] = useSize<HTMLDivElement>()
  const [pointedHz, setPointedHz] = useState<number | null>(null)
  const clip = useId()

  const shifts = series.map(({ shiftDb }) => shiftDb ?? 0)
  const { lowDb, highDb } = levelRange(
    series.map(({ points }) => points),
    shifts,
    leastDb,
    mostDb,
  )
  const innerWidth = Math.max(0, width - MARGIN.left - MARGIN.right)
  const innerHeight = Math.max(0, height - MARGIN.top - MARGIN.bottom)
  const xOf = (frequencyHz: number): number => MARGIN.left + alongAxis(frequencyHz) * innerWidth
  const yOf = (levelDb: number): number => MARGIN.top + ((highDb - levelDb) / (highDb - lowDb)) * innerHeight
  const stepDb =
    [1, 2, 5, 10, 20].find((step) => (step / (highDb - lowDb)) * innerHeight >= LEAST_LABEL_PX) ?? 20
  const levels = Array.from(
    { length: Math.floor((highDb - lowDb) / stepDb) + 1 },
    (_, i) => Math.ceil(lowDb / stepDb) * stepDb + i * stepDb,
  ).filter((levelDb) => levelDb <= highDb)

  const pointTo = (clientX: number, element: Element): void => {
    const x = clientX - element.getBoundingClientRect().left - MARGIN.left
    const frequencyHz = LOWEST_HZ * (HIGHEST_HZ / LOWEST_HZ) ** (x / innerWidth)
    setPointedHz(frequencyHz >= LOWEST_HZ && frequencyHz <= HIGHEST_HZ ? frequencyHz : null)
  }

  return (
    <div ref={frame} className={`curve-plot ${className}`}>
      {width === 0 || height === 0 ? null : (
        <>
          <svg
            width={width}
            height={height}
            role="img"
            aria-label={label}
            onPointerMove={(event) => pointTo(event.clientX, event.currentTarget)}
            onPointerLeave={() => setPointedHz(null)}
          >
            <clipPath id={clip}>
              <rect x={MARGIN.left} y={MARGIN.top} width={innerWidth} height={innerHeight} />
            </clipPath>
            {range === undefined ? null : (
              <g className="plot-outside">
                <rect
                  x={MARGIN.left}
                  y={MARGIN.top}
                  width={Math.max(0, xOf(Math.max(range.fromHz, LOWEST_HZ)) - MARGIN.left)}
                  height={innerHeight}
                />
                <rect
                  x={xOf(Math.min(range.toHz, HIGHEST_HZ))}
                  y={MARGIN.top}
                  width={Math.max(0, MARGIN.left + innerWidth - xOf(Math.min(range.toHz, HIGHEST_HZ)))}
                  height={innerHeight}
                />
              </g>
            )}
            {AXIS_FREQUENCIES_HZ.map((frequencyHz) => (
              <line
                key={frequencyHz}
                className={
                  (OCTAVE_LABELS_HZ as readonly number[]).includes(frequencyHz)
                    ? 'plot-rule-strong'
                    : 'plot-rule'
                }
                x1={xOf(frequencyHz)}
                x2={xOf(frequencyHz)}
                y1={MARGIN.top}
                y2={MARGIN.top + innerHeight}
              />
            ))}
            {levels.map((levelDb) => (
              <g key={levelDb}>
                <line
                  className={levelDb === 0 ? 'plot-zero' : 'plot-rule'}
                  x1={MARGIN.left}
                  x2={MARGIN.left + innerWidth}
                  y1={yOf(levelDb)}
                  y2={yOf(levelDb)}
                />
                <text className="plot-label" x={MARGIN.left - 8} y={yOf(levelDb) + 5} textAnchor="end">
                  {levelDb > 0 ? '+' : ''}
                  {formatNumber(levelDb, 0)}
                </text>
              </g>
            ))}
            {OCTAVE_LABELS_HZ.map((frequencyHz) => (
              <text
                key={frequencyHz}
                className="plot-label"
                x={xOf(frequencyHz)}
                y={MARGIN.top + innerHeight + 18}
                textAnchor="middle"
              >
                {axisFrequency(frequencyHz)}
              </text>
            ))}
            <text
              className="plot-label plot-unit"
              x={MARGIN.left + innerWidth}
              y={height - 5}
              textAnchor="end"
            >
              Hz
            </text>
            <text className="plot-label plot-unit" x={MARGIN.left} y={height - 5} textAnchor="start">
              {levelName}
            </text>
            <g clipPath={`url(#${clip})`}>
              {series.map(({ key, points, look, shiftDb = 0 }) => (
                <path
                  key={key}
                  d={pathOf(points, shiftDb, xOf, yOf)}
                  fill="none"
                  stroke={look.colour}
                  strokeDasharray={look.dash}
                  strokeWidth={look.width ?? 2}
                  strokeLinejoin="round"
                />
              ))}
              {pointedHz === null ? null : (
                <line
                  className="plot-reading-line"
                  x1={xOf(pointedHz)}
                  x2={xOf(pointedHz)}
                  y1={MARGIN.top}
                  y2={MARGIN.top + innerHeight}
                />
              )}
            </g>
          </svg>
          {pointedHz === null || !showsReadings ? null : (
            <Readings series={series} frequencyHz={pointedHz} isLeft={alongAxis(pointedHz) > 0.5} />
          )}
        </>
      )}
    </div>
  )
}

/** The levels under the pointer, on the side where it is not. */
function Readings({
  series,
  frequencyHz,
  isLeft,
}: {
  series: readonly PlotSeries[]
  frequencyHz: number
  isLeft: boolean
}): ReactNode {
  return (
    <div className="plot-readings" style={isLeft ? { left: MARGIN.left + 8 } : { right: MARGIN.right + 8 }}>
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

/** +1.5, 0.0, a real minus. */
export const signed = (levelDb: number, places = 1): string =>
  `${Number(levelDb.toFixed(places)) > 0 ? '+' : ''}${formatNumber(levelDb, places)}`

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

/** From the first point to the last and no farther; cut where the axis ends. */
function pathOf(
  { frequenciesHz, levelsDb }: CurvePoints,
  shiftDb: number,
  xOf: (frequencyHz: number) => number,
  yOf: (levelDb: number) => number,
): string {
  if (frequenciesHz.length === 0) return ''
  let path = ''
  // One point beyond each end of the axis, so that the line reaches its edge.
  const first = Math.max(0, frequenciesHz.findIndex((frequencyHz) => frequencyHz >= LOWEST_HZ) - 1)
  const beyond = frequenciesHz.findIndex((frequencyHz) => frequencyHz > HIGHEST_HZ)
  const last = beyond === -1 ? frequenciesHz.length - 1 : beyond
  let lastX = Number.NEGATIVE_INFINITY
  for (let i = first; i <= last; i++) {
    const x = xOf(frequenciesHz[i]!)
    // Nobody sees more than two points to a pixel.
    if (x - lastX < 0.5 && i < last) continue
    lastX = x
    path += `${path === '' ? 'M' : 'L'}${x.toFixed(1)} ${yOf(levelsDb[i]! + shiftDb).toFixed(1)}`
  }
  return path
}
