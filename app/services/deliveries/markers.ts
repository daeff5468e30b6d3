// The sections of a session as markers of a delivery.

import type { DeliveryMarker } from '../../contract/delivery/delivery-record.ts'
import type { SessionContents } from '../../contract/entities.ts'

/** In the order of the song. */
export function markersOf(_contents: SessionContents): DeliveryMarker[] {
  return []
}
