// While it plays, a dot moves on the static curve of a stage at the level that the stage hears; a line leads from it to
// the level that comes out, so that the time which attack and release take can be seen.

import type { ChainRow } from '../../../formats/chain/chain-rows.ts'
import { usePlotScale } from '../../../parts/plot/plot-scale.ts'
import { useHeardMoment } from '../river/heard-chain.tsx'
import { placeInSong } from '../river/use-song.ts'
import { workingPointAt } from './working-point.ts'

const DOT_PX = 5
const TICK_PX = 7

export interface HeardPointProps {
  readonly row: { readonly key: number; readonly stage: ChainRow['stage'] & { kind: 'expander' | 'opto' } }
  /** Place of the stage in the chain. */
  readonly index: number
  /** Whether what is measured is of settings before the last change. */
  readonly isStale: boolean
  /** The static curve. */
  readonly output: (inputDbfs: number) => number
  readonly makeUpDb?: number
}

export function HeardPoint({ row, index, isStale, output, makeUpDb = 0 }: HeardPointProps) {
  const { x, y, left, right } = usePlotScale()
  const moment = useHeardMoment()
  if (moment === null) return null
  const { kind } = row.stage
  const stage = placeInSong(moment.song, row.key, index)
  if (moment.song.stages[stage]?.kind !== kind) return null
  const point = workingPointAt(moment.song, stage, kind, moment.row)
  if (point === null) return null
  const atX = x(point.inputDbfs)
  if (atX < left || atX > right) return null
  const onCurve = y(output(point.inputDbfs))
  const comesOut = y(point.inputDbfs - point.reductionDb + makeUpDb)
  return (
    <g className="heard-point" data-stale={isStale || undefined}>
      <line x1={atX} x2={atX} y1={onCurve} y2={comesOut} />
      <line x1={atX - TICK_PX} x2={atX + TICK_PX} y1={comesOut} y2={comesOut} />
      <circle cx={atX} cy={onCurve} r={DOT_PX} />
    </g>
  )
}
