// The river: the voice through its stages as six strands, each as thick as its measured level at
// every joint, with the level changes of one stage as numbers.

import { STRANDS } from '../../../../app/contract/joints.ts'
import { formatGain, formatLevel, formatNumber, withUnit } from '../../../../app/words/format.ts'
import type { Freshness, MeasuredChain, MeasuredRow } from './match-measurement.ts'
import { type RiverCourse, riverScaleOf, wordsY } from './river-course.ts'
import { DOUBLING_DB, thicknessPx } from './river-geometry.ts'

const THICKEST_STROKE_PX = 24
/** Room between two joints in which a change has its strand's name. */
const NAMED_PX = 104
/** Length of the line from a label to its strand. */
const LEADER_PX = 22

export interface RiverProps {
  readonly chain: MeasuredChain
  readonly course: RiverCourse
  readonly widthPx: number
  /** Index of the stage whose changes are shown; null for none. */
  readonly shown: number | null
  /** Index of the joint at which the layers are summed; null without stages before it. */
  readonly sumJoint: number | null
}

/** Change in dB; null where one of the levels is silence. */
export const changeOf = (before: number | null, after: number | null): number | null =>
  before === null || after === null ? null : after - before

export function River({ chain, course, widthPx, shown, sumJoint }: RiverProps) {
  const { heightPx, jointsX, joints, strands, inY, outY } = course
  const last = joints.length - 1
  const startX = jointsX[0]
  const endX = jointsX[last]
  const isStale = chain.ofInput === 'stale' || chain.rows.some(({ ofJoint }) => ofJoint !== 'measured')

  return (
    <svg className="river" width={widthPx} height={heightPx} role="img" aria-label={inWords(chain)}>
      {jointsX.map((x, joint) => (
        <line
          key={x}
          className={joint === sumJoint ? 'river-joint river-sum' : 'river-joint'}
          x1={x}
          x2={x}
          y1={0}
          y2={heightPx}
        />
      ))}
      {sumJoint === null ? null : (
        <text className="river-sum-name" x={jointsX[sumJoint] + 5} y={11}>
          layers summed
        </text>
      )}
      {STRANDS.map(({ name }, index) => (
        <g key={name}>
          <path
            className="river-strand"
            data-stale={isStale || undefined}
            d={strands[index].path}
            fill={`var(--strand-${name})`}
          />
          <Leader
            fromX={startX - LEADER_PX}
            fromY={inY[index]}
            toX={startX}
            toY={strands[index].middlesY[0]}
          />
          <Leader
            fromX={endX + LEADER_PX}
            fromY={outY[index]}
            toX={endX}
            toY={strands[index].middlesY[last]}
          />
        </g>
      ))}
      {shown !== null && shown < last ? (
        <StageEffect
          row={chain.rows[shown]}
          x={(jointsX[shown] + jointsX[shown + 1]) / 2}
          isNamed={jointsX[shown + 1] - jointsX[shown] >= NAMED_PX}
          y={wordsY(
            strands.map((strand) => (strand.middlesY[shown] + strand.middlesY[shown + 1]) / 2),
            heightPx,
          )}
        />
      ) : null}
    </svg>
  )
}

interface EndProps {
  readonly course: RiverCourse
  readonly widthPx: number
  /** Of the joint at this end. */
  readonly of: Freshness
}

/** Names and input levels of the strands; hidden from screen readers, since the river's label has them. */
export const StrandsIn = ({ course, widthPx, of }: EndProps) => (
  <svg className="river" width={widthPx} height={course.heightPx} aria-hidden="true">
    {STRANDS.map(({ name }, index) => (
      <g key={name}>
        <text className="river-name" x={widthPx - 52} y={course.inY[index]}>
          {name}
        </text>
        <text
          className="river-level"
          x={widthPx - 2}
          y={course.inY[index]}
          data-stale={of !== 'measured' || undefined}
        >
          {numberOf(course.joints[0][index])}
        </text>
      </g>
    ))}
  </svg>
)

/** Output level of each strand, and its change from the input. */
export function StrandsOut({ course, widthPx, of }: EndProps) {
  const { joints, outY } = course
  const output = joints[joints.length - 1]
  return (
    <svg className="river" width={widthPx} height={course.heightPx} aria-hidden="true">
      {STRANDS.map(({ name }, index) => (
        <g key={name} data-stale={of !== 'measured' || undefined}>
          <text className="river-level" x={44} y={outY[index]}>
            {numberOf(of === 'unknown' ? null : output[index])}
          </text>
          <text className="river-change" x={widthPx - 12} y={outY[index]}>
            {of === 'unknown' ? '' : signedOf(changeOf(joints[0][index], output[index]))}
          </text>
        </g>
      ))}
    </svg>
  )
}

const numberOf = (levelDbfs: number | null): string => (levelDbfs === null ? '—' : formatNumber(levelDbfs, 1))

/** Without the unit, which the legend gives. */
const signedOf = (changeDb: number | null): string =>
  changeDb === null ? '' : `${Number(changeDb.toFixed(1)) > 0 ? '+' : ''}${formatNumber(changeDb, 1)}`

const Leader = ({ fromX, fromY, toX, toY }: { fromX: number; fromY: number; toX: number; toY: number }) => (
  <line className="river-leader" x1={fromX} y1={fromY} x2={toX} y2={toY} />
)

interface StageEffectProps {
  readonly row: MeasuredRow
  readonly x: number
  readonly y: readonly number[]
  /** Lines of text are higher than most strands, so a figure alone can lie on its neighbour. */
  readonly isNamed: boolean
}

function StageEffect({ row, x, y, isNamed }: StageEffectProps) {
  return (
    <g className="river-effect" data-stale={row.ofStage !== 'measured' || undefined}>
      {STRANDS.map(({ name }, index) => {
        const change = changeOf(row.before.strandsDbfs[index], row.after.strandsDbfs[index])
        // Smaller changes would read 0.0.
        if (row.ofStage === 'unknown' || change === null || Math.abs(change) < 0.05) return null
        return (
          <text key={name} x={x} y={y[index]}>
            {isNamed ? <tspan className="river-effect-name">{`${name} `}</tspan> : null}
            {signedOf(change)}
          </text>
        )
      })}
    </g>
  )
}

const inWords = ({ input, output, rows }: MeasuredChain): string => {
  const strands = STRANDS.map(({ name }, index) => {
    const change = changeOf(input.strandsDbfs[index], output.strandsDbfs[index])
    return `${name} ${formatLevel(input.strandsDbfs[index], 'dBFS')}${change === null ? '' : `, changed by ${formatGain(change)}`}`
  })
  return `The voice through ${rows.length} stages, from in to out: ${strands.join('; ')}. The table has the same figures.`
}

/** Legend: three strokes, each as thick as a strand at the level beside it. */
export function RiverKey({ chain, heightPx }: { chain: MeasuredChain; heightPx: number }) {
  const scale = riverScaleOf(chain, heightPx)
  // The thickest stroke that fits beside a line of text, at a round level.
  const fitting = DOUBLING_DB * Math.log2(THICKEST_STROKE_PX / thicknessPx(0, scale))
  const first = Math.floor(fitting / DOUBLING_DB) * DOUBLING_DB
  return (
    <div className="river-key">
      <span className="river-key-words">Level while the voice sounds, as thickness:</span>
      {[0, 1, 2].map((step) => {
        const level = first - step * DOUBLING_DB
        return (
          <span key={level} className="river-key-item">
            <span className="river-key-stroke" style={{ height: `${thicknessPx(level, scale)}px` }} />
            {withUnit(formatNumber(level, 0), 'dBFS')}
          </span>
        )
      })}
      <span className="river-key-words river-key-rule">
        Twice the thickness is {withUnit(String(DOUBLING_DB), 'dB')} more.
      </span>
    </div>
  )
}
