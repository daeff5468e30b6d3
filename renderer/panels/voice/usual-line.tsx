// A small chart of one value: the tick is the mean, the thick line one standard deviation either
// way, the thin line the usual range, the dot this take.

import type { UsualSpread } from '../../../app/contract/voice-analysis.ts'

const WIDTH_PX = 150
const HEIGHT_PX = 16

/** The chart extends at least this far either side of the mean. */
const MIN_REACH_DB = 6

/** A value of this take against mean, standard deviation and usual range, all in dB. */
export function UsualLine({ today, usual }: { today: number; usual: UsualSpread }) {
  const { mean, spread, limit } = usual
  const reachDb = Math.max(MIN_REACH_DB, limit * 1.2)
  const x = (db: number): number =>
    WIDTH_PX / 2 + (Math.max(-reachDb, Math.min(reachDb, db)) / reachDb) * (WIDTH_PX / 2 - 6)
  const away = today - mean
  return (
    <svg className="usual-line" viewBox={`0 0 ${WIDTH_PX} ${HEIGHT_PX}`} aria-hidden="true">
      <line className="usual-ground" x1={0} x2={WIDTH_PX} y1={8} y2={8} />
      <line className="usual-limit" x1={x(-limit)} x2={x(limit)} y1={8} y2={8} />
      <line className="usual-spread" x1={x(-spread)} x2={x(spread)} y1={8} y2={8} />
      <line className="usual-mean" x1={x(0)} x2={x(0)} y1={2} y2={14} />
      <circle
        className="usual-today"
        data-unusual={Math.abs(away) > limit || undefined}
        cx={x(away)}
        cy={8}
        r={4.5}
      />
    </svg>
  )
}
