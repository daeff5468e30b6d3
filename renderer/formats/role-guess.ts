// Suggests a role and a group for a take, from its name and the layers already in the stack. Both
// are only defaults that can be changed.

import type { Group, Layer, Role } from '../../app/contract/entities.ts'

/** Name patterns from common practice in naming audio files. */
const NAME_SIGNS: readonly { role: Role; sign: RegExp }[] = [
  { role: 'ad-lib', sign: /ad.?libs?|(^|[^a-z])ads?([^a-z]|$)/ },
  { role: 'double', sign: /double|(^|[^a-z])(dbl|dub)s?([^a-z]|$)/ },
  { role: 'harmony', sign: /harmon|(^|[^a-z])harms?([^a-z]|$)/ },
  { role: 'lead', sign: /(^|[^a-z])(leads?|main)([^a-z]|$)/ },
]

/** The role that the name indicates; otherwise lead if the stack has no lead yet, else double. */
export function guessRole(name: string, layers: readonly { role: Role }[]): Role {
  const lower = name.toLowerCase()
  const sign = NAME_SIGNS.find((one) => one.sign.test(lower))
  if (sign !== undefined) return sign.role
  return layers.some((layer) => layer.role === 'lead') ? 'double' : 'lead'
}

/**
 * Id of the group that already has a layer in this role, else of one named after it, else of the first;
 * null if there are no groups.
 */
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
