// What a recall sheet is about: a session as it is delivered or archived.

import type { DeliveryMarker } from '../../../contract/delivery/delivery-record.ts'
import type { SessionContents, Take } from '../../../contract/entities.ts'
import type { RenderPlan } from '../../../contract/render-plan.ts'

export interface SheetSubject {
  readonly contents: SessionContents
  readonly plan: RenderPlan
  readonly markers: readonly DeliveryMarker[]
  /** Name of the take's file beside the sheet, or that it is not there. */
  fileOf(take: Take): string
}
