// Where a take belongs in the stack: a guess from its name and from what is there, always
// open to change.

import type { Group, Layer, Role, SessionContents, Take } from '../../app/contract/entities.ts'
import { addLayer } from '../stack/stack-acts.ts'

/** Common practice in the naming of files. */
const NAME_SIGNS: readonly { role: Role; sign: RegExp }[] = [
  { role: 'ad-lib', sign: /ad.?libs?|(^|[^a-z])ads?([^a-z]|$)/ },
  { role: 'double', sign: /doubles?|dbls?|dubs?([^a-z]|$)/ },
  { role: 'harmony', sign: /harmon|harms?([^a-z]|$)/ },
  { role: 'lead', sign: /lead|main/ },
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

/** Places a take at session time zero, centred, at 0 dB. */
export const placeTake = (contents: SessionContents, take: Take, role: Role, groupId: number) =>
  addLayer(contents.session.id, {
    sessionId: contents.session.id,
    groupId,
    takeId: take.id,
    name: take.name,
    role,
    offsetSamples: 0,
    gainDb: 0,
    pan: 0,
    muted: false,
  })
