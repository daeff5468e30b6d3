// Deliveries: previewing, writing and listing them.

import { resolve } from 'node:path'
import type { Handlers } from '../../contract/wire/commands.ts'
import { catalogueRoot } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { deliverSession } from './deliver.ts'
import { planDelivery, previewOf } from './plan-delivery.ts'

type DeliveryActs = 'previewDelivery' | 'deliver' | 'listDeliveries'

export function deliveryHandlers(workplace: Workplace): Pick<Handlers, DeliveryActs> {
  const { catalogue } = workplace
  const root = catalogueRoot(catalogue.path)
  return {
    previewDelivery: async (request) => previewOf(planDelivery(workplace, request)),
    deliver: (request, context) => deliverSession(workplace, request, context),
    listDeliveries: async ({ sessionId }) =>
      catalogue.deliveries
        .listOfSession(sessionId)
        .map((delivery) => ({ ...delivery, folder: resolve(root, delivery.folder) })),
  }
}
