// Roles of a layer as items of a drop-down list.

import type { Role } from '../../app/contract/entities.ts'

export const ROLE_ITEMS: readonly { key: Role; name: string }[] = [
  { key: 'lead', name: 'Lead' },
  { key: 'double', name: 'Double' },
  { key: 'ad-lib', name: 'Ad-lib' },
  { key: 'harmony', name: 'Harmony' },
]
