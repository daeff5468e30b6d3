// Suggests a role and a group for a take. The role comes from the take's name alone: a name that tells none
// is asked for, because a wrong role gives a voice the wrong chain.

import type { Group, Layer, Role } from '../../app/contract/entities.ts'

/** Name patterns from common practice in naming audio files, in the order in which they win. */
const NAME_SIGNS: readonly { role: Role; sign: RegExp }[] = [
  { role: 'ad-lib', sign: /ad.?libs?|(^|[^a-z])(ads?|adls?)([^a-z]|$)/ },
  { role: 'double', sign: /double|(^|[^a-z])(dbl|dub)s?([^a-z]|$)/ },
  { role: 'harmony', sign: /harmon|(^|[^a-z])(harm|hrm|hmy|bgv|bv|choir)s?([^a-z]|$)/ },
  { role: 'lead', sign: /(^|[^a-z])(leads?|ld|main)([^a-z]|$)/ },
]

/** The role that the name tells, null for none. 'HookLead' reads as 'Hook Lead'. */
export function guessRole(name: string): Role | null {
  const lower = name.replaceAll(/(\p{Ll})(\p{Lu})/gu, '$1 $2').toLowerCase()
  return NAME_SIGNS.find((one) => one.sign.test(lower))?.role ?? null
}

/** Name of the group that is created for a role. */
export const GROUP_NAMES: Readonly<Record<Role, string>> = {
  lead: 'Lead',
  double: 'Doubles',
  'ad-lib': 'Ad-libs',
  harmony: 'Harmonies',
}

/**
 * Id of the group named after the role, else of one that has layers of this role and is not named after
 * another; null if the role needs a group of its own.
 */
export function guessGroup(
  role: Role,
  groups: readonly Pick<Group, 'id' | 'name'>[],
  layers: readonly Pick<Layer, 'groupId' | 'role'>[],
): number | null {
  const named = groups.find((group) => guessRole(group.name) === role)
  if (named !== undefined) return named.id
  const holding = layers.find(
    (layer) =>
      layer.role === role &&
      guessRole(groups.find(({ id }) => id === layer.groupId)?.name ?? GROUP_NAMES[role]) === null,
  )
  return holding?.groupId ?? null
}
