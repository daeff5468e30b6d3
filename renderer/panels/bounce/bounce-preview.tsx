// What a bounce will write: rate, length, chains, number of stems and their size.

import { useQuery } from '@tanstack/react-query'
import type { StemEncoding } from '../../../app/contract/wire/commands.ts'
import { formatBytes, formatDuration, formatRate } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { deliveryPreviewQuery } from '../../state/queries.ts'
import './bounce-files.css'

export interface BouncePreviewProps {
  readonly sessionId: number
  readonly encoding: StemEncoding
  readonly layerStems: boolean
}

/** Planned as a delivery of the same stems, which has the same rate, length and chains. */
export function BouncePreview({ sessionId, encoding, layerStems }: BouncePreviewProps) {
  const contents = { groups: true, layers: layerStems, raw: false, aligned: false, reference: false }
  const { data } = useQuery({ ...deliveryPreviewQuery({ sessionId, encoding, contents }), retry: false })
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
      <p className="soft">For a section, a range or another rate, deliver instead.</p>
    </section>
  )
}
