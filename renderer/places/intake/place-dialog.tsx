// Asks for what placing takes needs and their files do not tell: the role where the name tells none, and
// whether to follow a time stamp that is outside the song.

import { useState } from 'react'
import type { Role, Session, Take } from '../../../app/contract/entities.ts'
import { countOf } from '../../../app/words/numbers.ts'
import type { Placing } from '../../acts/place-acts.ts'
import { ROLE_ITEMS } from '../../formats/roles.ts'
import { formatTimeStamp, stampedPlace, timeStampS } from '../../formats/time-stamp.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { Checkbox } from '../../parts/fields/checkbox.tsx'
import { Select } from '../../parts/fields/select.tsx'

/** A take to place, with what is known so far. */
export type Wish = Omit<Placing, 'role'> & { readonly role: Role | null }

const isOutside = (take: Take, session: Session): boolean => stampedPlace(take, session)?.isInSong === false

/** Whether a take must be asked about before it is placed. */
export const isUnclear = ({ take, role }: Wish, session: Session): boolean =>
  role === null || isOutside(take, session)

export interface PlaceDialogProps {
  readonly session: Session
  readonly wishes: readonly Wish[]
  readonly onClose: () => void
  readonly onPlace: (placings: readonly Placing[]) => void
}

export function PlaceDialog({ session, wishes, onClose, onPlace }: PlaceDialogProps) {
  const [roles, setRoles] = useState<Readonly<Record<number, Role | null>>>({})
  const [followed, setFollowed] = useState<readonly number[]>([])
  const asked = wishes.filter((wish) => isUnclear(wish, session))
  const roleless = asked.filter(({ role }) => role === null)
  const placings = wishes.flatMap((wish): Placing[] => {
    const role = wish.role ?? roles[wish.take.id] ?? null
    return role === null ? [] : [{ ...wish, role, followsStamp: followed.includes(wish.take.id) }]
  })
  const [firstRole = null, ...otherRoles] = roleless.map(({ take }) => roles[take.id] ?? null)
  const sameRole = otherRoles.every((role) => role === firstRole) ? firstRole : null
  const setAll = (role: Role | null): void =>
    setRoles(Object.fromEntries(roleless.map(({ take }) => [take.id, role])))

  return (
    <Dialog title="Place takes" isOpen onClose={onClose} width="wide">
      <p>
        {roleless.length === 0
          ? 'These time stamps are outside the song. Without a tick, the take is placed at the session’s start.'
          : `${roleless.length === 1 ? 'The name of 1 take tells' : `The names of ${roleless.length} takes tell`} no role. Takes without a role are not placed.`}
      </p>
      {roleless.length > 1 ? (
        <Select
          label="All of them as"
          className="place-all"
          items={ROLE_ITEMS}
          none="One by one"
          value={sameRole}
          onChange={setAll}
        />
      ) : null}
      <ul className="place-list" aria-label="Takes to decide on">
        {asked.map(({ take, role }) => (
          <li key={take.id} className="place-line">
            <span className="take-text place-name" title={take.name}>
              {take.name}
            </span>
            {isOutside(take, session) ? (
              <Checkbox
                isSelected={followed.includes(take.id)}
                onChange={(isOn) =>
                  setFollowed((now) => (isOn ? [...now, take.id] : now.filter((id) => id !== take.id)))
                }
              >
                At {formatTimeStamp(timeStampS(take) ?? 0)}
              </Checkbox>
            ) : (
              <span />
            )}
            {role === null ? (
              <Select
                label={`Role of ${take.name}`}
                isLabelHidden
                placeholder="Choose a role"
                items={ROLE_ITEMS}
                value={roles[take.id] ?? null}
                onChange={(key) => setRoles((now) => ({ ...now, [take.id]: key }))}
              />
            ) : (
              <span className="soft">{role}</span>
            )}
          </li>
        ))}
      </ul>
      <DialogButtons>
        <Button onPress={onClose}>Cancel</Button>
        <Button look="main" isDisabled={placings.length === 0} onPress={() => onPlace(placings)}>
          Place {countOf(placings.length, 'take')}
        </Button>
      </DialogButtons>
    </Dialog>
  )
}
