// The sections of a session as markers of a delivery.

import type { DeliveryMarker } from '../../contract/delivery/delivery-record.ts'
import type { SessionContents } from '../../contract/entities.ts'

/** In the order of the song. */
export const markersOf = ({ sections }: Pick<SessionContents, 'sections'>): DeliveryMarker[] =>
  sections.map(({ name, startSamples, lengthSamples, note }) => ({
    name,
    startFrame: startSamples,
    frames: lengthSamples,
    note,
  }))
