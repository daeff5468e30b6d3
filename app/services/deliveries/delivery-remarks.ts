// What a mix engineer has to know about the files of a delivery, as sentences for its manifest and sheet.

import type { RenderedFile } from '../../contract/delivery/delivery-manifest.ts'
import type { DeliveryRequest } from '../../contract/delivery/delivery-request.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import { roughStemRemarks } from '../bounces/stem-remarks.ts'

/** EBU R 128 (2023), the maximum permitted true peak level of a programme. */
const MOST_REFERENCE_DBTP = -1

const DEPTHS = { 'pcm-16': '16 bits', 'pcm-24': '24 bits', 'float-32': '32-bit float' } as const

/** Sentences on clipping, on peaks of the reference, and on layer stems that add up only roughly. */
export function deliveryRemarks(
  plan: RenderPlan,
  { encoding, contents }: DeliveryRequest,
  files: readonly RenderedFile[],
): string[] {
  const reference = files.find(({ kind }) => kind === 'reference')
  const peakDbtp = reference?.truePeakDbtp ?? Number.NEGATIVE_INFINITY
  return [
    ...files
      .filter((file) => file.encoding !== encoding)
      .map(({ path }) => `${path} is 32-bit float, because it would have clipped in ${DEPTHS[encoding]}.`),
    ...(peakDbtp > MOST_REFERENCE_DBTP
      ? [
          `The reference has a true peak of ${peakDbtp.toFixed(1)} dBTP, over ${MOST_REFERENCE_DBTP} dBTP; it is the stack as heard, without a limiter, so lower the groups if it has to be played elsewhere.`,
        ]
      : []),
    ...(contents.layers ? roughStemRemarks(plan) : []),
  ]
}
