// What the second of two versions does to the tone beside the first, as one curve.

import { queryOptions, useQuery } from '@tanstack/react-query'
import type { ChainStages } from '../../../../app/contract/chain-document.ts'
import { differenceOf, levelDependent } from '../../../formats/book/tone-difference.ts'
import { FREQUENCY_AXIS, levelAxis } from '../../../parts/plot/axis.ts'
import { Plot } from '../../../parts/plot/plot.tsx'
import { PlotCurve } from '../../../parts/plot/plot-curves.tsx'
import { client } from '../../../state/connection.ts'

const RATE_HZ = 48_000
const COUNT = 241
const FREQUENCIES_HZ = Array.from({ length: COUNT }, (_, i) => 20 * 1000 ** (i / (COUNT - 1)))
/** The axis reaches at least so far, so that a small difference looks small. */
const LEAST_DB = 6

/** The mic of the take decides what the mic correction does. */
const responseQuery = (takeId: number | null, stages: ChainStages) =>
  queryOptions({
    queryKey: ['chain response', takeId, stages],
    queryFn: ({ signal }) =>
      client.chainResponse(
        { takeId, stages, sampleRateHz: RATE_HZ, frequenciesHz: FREQUENCIES_HZ },
        { signal },
      ),
    meta: { subjects: ['takes', 'mics'] },
  })

export interface ToneDifferenceProps {
  readonly takeId: number | null
  readonly from: ChainStages
  readonly to: ChainStages
}

export function ToneDifference({ takeId, from, to }: ToneDifferenceProps) {
  const first = useQuery(responseQuery(takeId, from))
  const second = useQuery(responseQuery(takeId, to))
  const failure = first.error ?? second.error
  if (failure !== null) return <p className="ledger-failure">{failure.message}</p>
  if (first.data === undefined || second.data === undefined) return <div className="book-tone" />
  const difference = differenceOf(first.data.stages, second.data.stages, COUNT)
  const most = Math.max(...difference.map(Math.abs))
  const reach = Math.max(LEAST_DB, Math.ceil(most))
  const others = levelDependent(from, to)
  return (
    <>
      <Plot
        className="book-tone"
        label={`Difference in tone, second version minus first, at most ${most.toFixed(1)} dB`}
        x={FREQUENCY_AXIS}
        y={(fieldPx) => levelAxis('dB', -reach, reach, fieldPx)}
      >
        <PlotCurve xs={FREQUENCIES_HZ} ys={difference} />
      </Plot>
      <p className="soft">
        Second minus first: trim, mic correction, low-cut and tone.
        {others.length === 0 ? '' : ` Not in the curve, since it depends on the level: ${others.join(', ')}.`}
      </p>
    </>
  )
}
