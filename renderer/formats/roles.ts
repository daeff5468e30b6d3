// The roles of a layer as lists offer them.

import type { Role } from '../../app/contract/entities.ts'

export const ROLE_ITEMS: readonly { key: Role; name: string }[] = [
  { key: 'lead', name: 'Lead' },
  { key: 'double', name: 'Double' },
  { key: 'ad-lib', name: 'Ad-lib' },
  { key: 'harmony', name: 'Harmony' },
]
