// Pan laws in words.

import type { PanLaw } from '../contract/entities.ts'

/** Level of a centred mono layer on each side. */
export const PAN_LAW_WORDS: Readonly<Record<PanLaw, string>> = {
  'minus-3-db': '−3 dB',
  'minus-4.5-db': '−4.5 dB',
  'minus-6-db': '−6 dB',
}
