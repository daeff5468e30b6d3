// What a bounce will write: rate, length, chains, number of stems and their size.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import type { SongRange } from '../../../app/contract/sections/song-range.ts'
import type { StemEncoding } from '../../../app/contract/wire/commands.ts'
import { formatBytes, formatDuration, formatRate } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { DialogFailure } from '../../parts/dialog.tsx'
import { messageOf } from '../../state/notices.ts'
import { deliveryPreviewQuery } from '../../state/queries.ts'
import './bounce-files.css'

export interface BouncePreviewProps {
  readonly sessionId: number
  readonly encoding: StemEncoding
  readonly layerStems: boolean
  readonly range: SongRange
}

/** Planned as a delivery of the same stems, which has the same rate, length and chains. */
export function BouncePreview({ sessionId, encoding, layerStems, range }: BouncePreviewProps) {
  const contents = { groups: true, layers: layerStems, raw: false, aligned: false, reference: false }
  const { data, error } = useQuery({
    ...deliveryPreviewQuery({ sessionId, encoding, contents, range }),
    placeholderData: keepPreviousData,
    retry: false,
  })
  if (error !== null) return <DialogFailure message={messageOf(error)} />
  if (data === undefined) return null
  const stems = data.files.filter(({ kind }) => kind !== 'document')
  const chains = data.chains.map(
    ({ of, name, number }) =>
      `${of === '' ? 'All groups' : of}: ${number === 0 ? 'no chain' : `${name} v${number}`}`,
  )
  return (
    <section className="bounce-preview" aria-label="What will be written">
      <dl>
        <dt>Length</dt>
        <dd>
          {formatDuration(data.seconds)} at {formatRate(data.sampleRateHz)}
        </dd>
        <dt>Chains</dt>
        <dd>{chains.join('; ')}</dd>
        <dt>Size</dt>
        <dd>
          {countOf(stems.length, 'stem')} and a manifest, about{' '}
          {formatBytes(stems.reduce((sum, { bytes }) => sum + bytes, 0))}
        </dd>
      </dl>
      <p className="soft">For another rate or depth, deliver instead.</p>
    </section>
  )
}
