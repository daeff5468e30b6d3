// The numbers at each joint below the river: level, crest factor and loudness.

import type { Joint } from '../../../../app/contract/joints.ts'
import { formatNumber } from '../../../../app/words/format.ts'
import type { MeasuredChain } from './match-measurement.ts'

const numberOf = (value: number | null): string => (value === null ? '—' : formatNumber(value, 1))

const LINES: readonly { label: string; unit: string; read: (joint: Joint) => number | null }[] = [
  { label: 'Level', unit: 'dBFS', read: (joint) => joint.levelDbfs },
  { label: 'Crest', unit: 'dB', read: (joint) => joint.crestDb },
  { label: 'Loudness', unit: 'LUFS', read: (joint) => joint.loudnessLufs },
]

/** Labels of the rows of numbers. */
export const JointLabels = () => (
  <div className="joint-numbers" aria-hidden="true">
    {LINES.map(({ label, unit }) => (
      <div key={label} className="joint-line joint-label">
        {label} <span className="joint-unit">{unit}</span>
      </div>
    ))}
  </div>
)

export function JointNumbers({ chain, jointsX }: { chain: MeasuredChain; jointsX: readonly number[] }) {
  const joints = [
    { joint: chain.input, of: chain.ofInput },
    ...chain.rows.map(({ after, ofJoint }) => ({ joint: after, of: ofJoint })),
  ]
  const textOf = (index: number, read: (joint: Joint) => number | null): string =>
    numberOf(joints[index].of === 'unknown' ? null : read(joints[index].joint))
  return (
    // Hidden from screen readers, since the table names every row and column.
    <div className="joint-numbers" aria-hidden="true">
      {LINES.map(({ label, read }) => (
        <div key={label} className="joint-line">
          {joints.map(({ of }, index) => (
            <span
              key={jointsX[index]}
              className="joint-number number"
              style={{ left: `${jointsX[index]}px` }}
              data-changed={index === 0 || textOf(index, read) !== textOf(index - 1, read) || undefined}
              data-stale={of !== 'measured' || undefined}
            >
              {textOf(index, read)}
            </span>
          ))}
        </div>
      ))}
    </div>
  )
}
