// Curves over a log frequency axis, several on one sheet.

import { useEffect, useId, useRef, useState } from 'react'
import type { CurveRecord } from '../../app/contract/entities.ts'
import { formatFrequency, formatNumber } from '../parts/format.ts'
import {
  AXIS_FREQUENCIES_HZ,
  alongAxis,
  HIGHEST_HZ,
  LOWEST_HZ,
  levelAt,
  levelRange,
  OCTAVE_LABELS_HZ,
} from './curve-axes.ts'

export interface CurvePlotProps {
  readonly curves: readonly CurveRecord[]
  /** Lays all curves through 0 dB at 1 kHz, so that their shapes compare. */
  readonly isAligned: boolean
}

/** Colour and dash together, so that neither alone has to tell curves apart. */
export const CURVE_LOOKS = [
  { colour: 'var(--wave-lead)', dash: '' },
  { colour: 'var(--ink)', dash: '7 4' },
  { colour: 'var(--wave-ad-lib)', dash: '2 4' },
  { colour: 'var(--wave-harmony)', dash: '10 3 2 3' },
  { colour: 'var(--wave-double)', dash: '4 2' },
] as const

export const curveLook = (index: number) => CURVE_LOOKS[index % CURVE_LOOKS.length]!

const PLOT_HEIGHT = 420
const MARGIN = { left: 58, right: 16, top: 32, bottom: 46 }

export function CurvePlot({ curves, isAligned }: CurvePlotProps) {
  const frame = useRef<HTMLDivElement>(null)
  const [width, setWidth] = useState(0)
  const clip = useId()
  useEffect(() => {
    const observer = new ResizeObserver(([entry]) => setWidth(Math.floor(entry!.contentRect.width)))
    observer.observe(frame.current!)
    return () => observer.disconnect()
  }, [])

  const shifts = curves.map((curve) => (isAligned ? -levelAt(curve.points, 1000) : 0))
  const { lowDb, highDb } = levelRange(
    curves.map((curve) => curve.points),
    shifts,
  )
  const innerWidth = width - MARGIN.left - MARGIN.right
  const innerHeight = PLOT_HEIGHT - MARGIN.top - MARGIN.bottom
  const xOf = (frequencyHz: number): number => MARGIN.left + alongAxis(frequencyHz) * innerWidth
  const yOf = (levelDb: number): number => MARGIN.top + ((highDb - levelDb) / (highDb - lowDb)) * innerHeight
  const stepDb = highDb - lowDb > 40 ? 10 : 5
  const levels = Array.from(
    { length: Math.floor((highDb - lowDb) / stepDb) + 1 },
    (_, i) => Math.ceil(lowDb / stepDb) * stepDb + i * stepDb,
  ).filter((levelDb) => levelDb <= highDb)

  const pathOf = (curve: CurveRecord, shiftDb: number): string => {
    const inside = curve.points.frequenciesHz
      .map((frequencyHz, at) => ({ frequencyHz, levelDb: curve.points.levelsDb[at]! + shiftDb }))
      .filter(({ frequencyHz }) => frequencyHz >= LOWEST_HZ && frequencyHz <= HIGHEST_HZ)
    return inside
      .map(
        ({ frequencyHz, levelDb }, i) =>
          `${i === 0 ? 'M' : 'L'}${xOf(frequencyHz).toFixed(1)} ${yOf(levelDb).toFixed(1)}`,
      )
      .join('')
  }

  return (
    <div ref={frame} className="curve-plot">
      {width === 0 ? null : (
        <svg
          width={width}
          height={PLOT_HEIGHT}
          role="img"
          aria-label={
            curves.length === 0
              ? 'No curve shown'
              : `Level over frequency of ${curves.map((curve) => curve.name).join(', ')}`
          }
        >
          <clipPath id={clip}>
            <rect x={MARGIN.left} y={MARGIN.top} width={Math.max(0, innerWidth)} height={innerHeight} />
          </clipPath>
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
              y={MARGIN.top + innerHeight + 20}
              textAnchor="middle"
            >
              {formatFrequency(frequencyHz)
                .replace(/\u202fHz|Hz/, '')
                .replace('\u202f', '')}
            </text>
          ))}
          <text className="plot-label" x={MARGIN.left + innerWidth} y={PLOT_HEIGHT - 4} textAnchor="end">
            Hz, preferred frequencies of ISO 266
          </text>
          <text className="plot-label" x={MARGIN.left - 8} y={16} textAnchor="end">
            dB
          </text>
          <g clipPath={`url(#${clip})`}>
            {curves.map((curve, index) => (
              <path
                key={curve.id}
                d={pathOf(curve, shifts[index]!)}
                fill="none"
                stroke={curveLook(index).colour}
                strokeDasharray={curveLook(index).dash}
                strokeWidth={2}
                strokeLinejoin="round"
              />
            ))}
          </g>
        </svg>
      )}
    </div>
  )
}
