// Where a take seems to belong in the stack, from its name and from what is there; always
// open to change.

import type { Group, Layer, Role } from '../../app/contract/entities.ts'

/** Common practice in the naming of files. */
const NAME_SIGNS: readonly { role: Role; sign: RegExp }[] = [
  { role: 'ad-lib', sign: /ad.?libs?|(^|[^a-z])ads?([^a-z]|$)/ },
  { role: 'double', sign: /double|(^|[^a-z])(dbl|dub)s?([^a-z]|$)/ },
  { role: 'harmony', sign: /harmon|(^|[^a-z])harms?([^a-z]|$)/ },
  { role: 'lead', sign: /(^|[^a-z])(leads?|main)([^a-z]|$)/ },
]

/** The role a take's name speaks of; without a sign the first is the lead and what follows doubles it. */
export function guessRole(name: string, layers: readonly { role: Role }[]): Role {
  const lower = name.toLowerCase()
  const sign = NAME_SIGNS.find((one) => one.sign.test(lower))
  if (sign !== undefined) return sign.role
  return layers.some((layer) => layer.role === 'lead') ? 'double' : 'lead'
}

/** The group that holds this role already, or is called after it, or the first. */
export function guessGroup(
  role: Role,
  groups: readonly Pick<Group, 'id' | 'name'>[],
  layers: readonly Pick<Layer, 'groupId' | 'role'>[],
): number | null {
  const holding = layers.find((layer) => layer.role === role)
  if (holding !== undefined) return holding.groupId
  const stem = role.replace('-', '').slice(0, 5)
  const called = groups.find((group) =>
    group.name
      .toLowerCase()
      .replaceAll(/[^a-z]/g, '')
      .includes(stem),
  )
  return called?.id ?? groups[0]?.id ?? null
}
