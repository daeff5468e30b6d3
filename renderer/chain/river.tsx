// The river: the voice flowing through its stages, six strands, each as thick as its
// measured level at that joint, with what the chosen stage takes or adds written on it.

import { STRANDS } from '../../app/contract/joints.ts'
import { formatGain, formatLevel, formatNumber, withUnit } from '../parts/format.ts'
import {
  DOUBLING_DB,
  type JointStrands,
  type RiverFrame,
  scaleFor,
  spreadOut,
  strandsOf,
  thicknessPx,
} from './river-geometry.ts'
import type { MeasuredChain } from './use-chain-measurement.ts'

const LABEL_SPACING_PX = 18
const MARGIN_PX = 8
const THICKEST_STROKE_PX = 24

export interface RiverProps {
  readonly chain: MeasuredChain
  readonly jointsX: readonly number[]
  readonly widthPx: number
  readonly heightPx: number
  /** Index of the stage whose effect is written on the strands. */
  readonly shown: number | null
  /** Index of the joint at which the layers are summed; null where no stage stands before it. */
  readonly sumJoint: number | null
}

/** What a stage did to a strand; null where that says nothing. */
export const changeOf = (before: number | null, after: number | null): number | null =>
  before === null || after === null ? null : after - before

export function River({ chain, jointsX, widthPx, heightPx, shown, sumJoint }: RiverProps) {
  const joints: readonly JointStrands[] = [
    chain.input.strandsDbfs,
    ...chain.rows.map((row) => row.after.strandsDbfs),
  ]
  const frame: RiverFrame = { jointsX, topY: MARGIN_PX, heightPx: heightPx - 2 * MARGIN_PX }
  const scale = scaleFor(joints, frame.heightPx)
  const strands = strandsOf(joints, scale, frame)
  const last = joints.length - 1
  const spread = (joint: number): number[] =>
    spreadOut(
      strands.map((strand) => strand.middlesY[joint]),
      LABEL_SPACING_PX,
      MARGIN_PX,
      heightPx - MARGIN_PX,
    )
  const leftY = spread(0)
  const rightY = spread(last)
  const startX = jointsX[0]
  const endX = jointsX[last]

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
          <path className="river-strand" d={strands[index].path} fill={`var(--strand-${name})`} />
          <Leader fromX={startX - 12} fromY={leftY[index]} toX={startX} toY={strands[index].middlesY[0]} />
          <text className="river-name" x={startX - 66} y={leftY[index]}>
            {name}
          </text>
          <text className="river-level" x={startX - 16} y={leftY[index]}>
            {numberOf(joints[0][index])}
          </text>
          <Leader fromX={endX + 12} fromY={rightY[index]} toX={endX} toY={strands[index].middlesY[last]} />
          <text className="river-level" x={endX + 58} y={rightY[index]}>
            {numberOf(joints[last][index])}
          </text>
          <text className="river-change" x={endX + 104} y={rightY[index]}>
            {signedOf(changeOf(joints[0][index], joints[last][index]))}
          </text>
        </g>
      ))}
      {shown !== null && shown < last ? (
        <StageEffect
          joints={joints}
          shown={shown}
          x={(jointsX[shown] + jointsX[shown + 1]) / 2}
          y={spreadOut(
            strands.map((strand) => (strand.middlesY[shown] + strand.middlesY[shown + 1]) / 2),
            LABEL_SPACING_PX,
            MARGIN_PX,
            heightPx - MARGIN_PX,
          )}
        />
      ) : null}
    </svg>
  )
}

const numberOf = (levelDbfs: number | null): string => (levelDbfs === null ? '—' : formatNumber(levelDbfs, 1))

/** Without the unit, which stands in the legend. */
const signedOf = (changeDb: number | null): string =>
  changeDb === null ? '' : `${Number(changeDb.toFixed(1)) > 0 ? '+' : ''}${formatNumber(changeDb, 1)}`

const Leader = ({ fromX, fromY, toX, toY }: { fromX: number; fromY: number; toX: number; toY: number }) => (
  <line className="river-leader" x1={fromX} y1={fromY} x2={toX} y2={toY} />
)

function StageEffect(props: {
  joints: readonly JointStrands[]
  shown: number
  x: number
  y: readonly number[]
}) {
  const { joints, shown, x, y } = props
  return (
    <g className="river-effect">
      {STRANDS.map(({ name }, index) => {
        const change = changeOf(joints[shown][index], joints[shown + 1][index])
        // A tenth of a dB is within what the picture can say.
        if (change === null || Math.abs(change) < 0.05) return null
        return (
          <text key={name} x={x} y={y[index]}>
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
  return `The voice through ${rows.length} stages, from in to out: ${strands.join('; ')}. The same figures stand in the table.`
}

/** What the thickness of a strand says, in strokes to compare with. */
export function RiverKey({ chain, heightPx }: { chain: MeasuredChain; heightPx: number }) {
  const joints = [chain.input.strandsDbfs, ...chain.rows.map((row) => row.after.strandsDbfs)]
  const scale = scaleFor(joints, heightPx - 2 * MARGIN_PX)
  // The strongest stroke that fits beside a line of text, at a round level.
  const fitting = DOUBLING_DB * Math.log2(THICKEST_STROKE_PX / thicknessPx(0, scale))
  const first = Math.floor(fitting / DOUBLING_DB) * DOUBLING_DB
  return (
    <div className="river-key">
      <span>Level of each strand in dBFS, by thickness:</span>
      {[0, 1, 2].map((step) => {
        const level = first - step * DOUBLING_DB
        return (
          <span key={level} className="river-key-item">
            <span className="river-key-stroke" style={{ height: `${thicknessPx(level, scale)}px` }} />
            {withUnit(formatNumber(level, 0), 'dBFS')}
          </span>
        )
      })}
      <span>Twice as thick is {withUnit(String(DOUBLING_DB), 'dB')} more.</span>
    </div>
  )
}
