// What changed from one delivery to the next. Apart from entities.ts, which has it in the ledger.

import { z } from 'zod'

/** One difference between two deliveries, as kinds and numbers. app/words turns it into text. */
export const DeliveryChange = z.object({
  kind: z.enum([
    'chain',
    'group-added',
    'group-removed',
    'group-gain',
    'layer-added',
    'layer-removed',
    'layer-take',
    'layer-gain',
    'layer-pan',
    'layer-polarity',
    'layer-offset',
    'section-added',
    'section-removed',
    'section-moved',
    'tempo',
    'range',
    'contents',
    'template',
    'rate',
    'depth',
    'program',
  ]),
  /** Of the layer, group or section; empty where there is none. */
  name: z.string(),
  from: z.union([z.string(), z.number(), z.null()]),
  to: z.union([z.string(), z.number(), z.null()]),
})
export type DeliveryChange = z.infer<typeof DeliveryChange>
