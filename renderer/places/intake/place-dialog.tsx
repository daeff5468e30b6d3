// Asks for what placing takes needs and their files do not tell: the role where the name tells none, and
// whether to follow a time stamp that is outside the song.

import { type KeyboardEvent, useState } from 'react'
import type { Role, Session, Take } from '../../../app/contract/entities.ts'
import { countOf } from '../../../app/words/numbers.ts'
import type { Placing } from '../../acts/place-acts.ts'
import { ROLE_ITEMS } from '../../formats/roles.ts'
import {
  formatStampDistance,
  formatTimeOfDay,
  formatTimeStamp,
  stampedPlace,
  startForStamps,
  timeStampS,
} from '../../formats/time-stamp.ts'
import { keyActOf } from '../../keys/key-table.ts'
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
  /** Whether nothing lies at a time stamp yet, so that another start moves nothing away from its stamp. */
  readonly isStartFree: boolean
  readonly onClose: () => void
  /** @param startOfDayS the session's start, which may be a new one */
  readonly onPlace: (placings: readonly Placing[], startOfDayS: number) => void
}

type Where = 'start' | 'stamp'

export function PlaceDialog({ session: now, wishes, isStartFree, onClose, onPlace }: PlaceDialogProps) {
  const offeredStartS = isStartFree ? startForStamps(wishes.map(({ take }) => take)) : null
  const [isStartMoved, setStartMoved] = useState(false)
  const session = isStartMoved && offeredStartS !== null ? { ...now, startOfDayS: offeredStartS } : now
  const [roles, setRoles] = useState<Readonly<Record<number, Role | null>>>({})
  const [followed, setFollowed] = useState<readonly number[]>([])
  const asked = wishes.filter((wish) => isUnclear(wish, now))
  const outside = asked.filter(({ take }) => isOutside(take, now)).length
  const roleless = asked.filter(({ role }) => role === null)
  const placings = wishes.flatMap((wish): Placing[] => {
    const role = wish.role ?? roles[wish.take.id] ?? null
    return role === null ? [] : [{ ...wish, role, followsStamp: followed.includes(wish.take.id) }]
  })
  const [firstRole = null, ...otherRoles] = roleless.map(({ take }) => roles[take.id] ?? null)
  const sameRole = otherRoles.every((role) => role === firstRole) ? firstRole : null
  const setAll = (role: Role | null): void =>
    setRoles(Object.fromEntries(roleless.map(({ take }) => [take.id, role])))

  const isFilled = placings.length === wishes.length
  const submit = (): void => onPlace(placings, session.startOfDayS)
  // In the capture phase: Enter would open the list of a field again; Space and the arrows still do.
  const onKeyDown = (event: KeyboardEvent<HTMLElement>): void => {
    const at = event.target as HTMLElement
    if (!isFilled || event.repeat || keyActOf(event, 'placing') !== 'placeAsked') return
    // An open list is elsewhere in the document.
    if (!event.currentTarget.contains(at) || at.closest('.select-button') === null) return
    event.preventDefault()
    event.stopPropagation()
    submit()
  }

  return (
    <Dialog title="Place takes" isOpen onClose={onClose} width="wide">
      {roleless.length === 0 ? null : (
        <p>
          {roleless.length === 1 ? 'The name of 1 take tells' : `The names of ${roleless.length} takes tell`}{' '}
          no role. Takes without a role are not placed.
        </p>
      )}
      {outside === 0 ? null : (
        <p>
          {outside === 1 ? 'The time stamp of 1 take is' : `The time stamps of ${outside} takes are`} outside
          the song, which starts at {formatTimeOfDay(now.startOfDayS)}.
        </p>
      )}
      {outside === 0 || offeredStartS === null ? null : (
        <Checkbox isSelected={isStartMoved} onChange={setStartMoved}>
          Start the session at {formatTimeOfDay(offeredStartS)} instead, so that every stamp falls into place
        </Checkbox>
      )}
      <div className="place-asked" onKeyDownCapture={onKeyDown}>
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
        <ul className="dialog-list place-list" aria-label="Takes to decide on">
          {asked.map(({ take, role }) => (
            <li key={take.id} className="place-line">
              <span className="place-take">
                <span className="take-text place-name" title={take.name}>
                  {take.name}
                </span>
                <StampWords {...{ take, session }} />
              </span>
              <PlaceOf
                {...{ take, session }}
                where={followed.includes(take.id) ? 'stamp' : 'start'}
                onChange={(where) =>
                  setFollowed((ids) => [
                    ...ids.filter((id) => id !== take.id),
                    ...(where === 'stamp' ? [take.id] : []),
                  ])
                }
              />
              {role === null ? (
                <Select
                  label={`Role of ${take.name}`}
                  isLabelHidden
                  placeholder="Choose a role"
                  items={ROLE_ITEMS}
                  value={roles[take.id] ?? null}
                  autoFocus={take === roleless[0]?.take}
                  onChange={(key) => setRoles((now) => ({ ...now, [take.id]: key }))}
                />
              ) : (
                <span className="soft">{role}</span>
              )}
            </li>
          ))}
        </ul>
      </div>
      <DialogButtons>
        <Button onPress={onClose}>Cancel</Button>
        <Button
          look="main"
          autoFocus={roleless.length === 0}
          isDisabled={placings.length === 0}
          onPress={submit}
        >
          Place {countOf(placings.length, 'take')}
        </Button>
      </DialogButtons>
    </Dialog>
  )
}

/** Where a stamped take goes: the user's choice where the stamp is outside the song. */
function PlaceOf(props: {
  readonly take: Take
  readonly session: Session
  readonly where: Where
  readonly onChange: (where: Where) => void
}) {
  const { take, session, where, onChange } = props
  const place = stampedPlace(take, session)
  if (place === null) return <span />
  if (place.isInSong) return <span className="place-at soft">At its time stamp</span>
  return (
    <Select<Where>
      className="place-at"
      label={`Place of ${take.name}`}
      isLabelHidden
      items={[
        { key: 'start', name: 'At the session’s start' },
        ...(place.isReachable ? [{ key: 'stamp' as const, name: 'At its time stamp' }] : []),
      ]}
      value={where}
      onChange={(key) => onChange(key ?? 'start')}
    />
  )
}

/** The stamp of a take, and how far it is from the session's start. */
function StampWords({ take, session }: { take: Take; session: Session }) {
  const place = stampedPlace(take, session)
  if (place === null) return null
  return (
    <span className="place-stamp soft number">
      {formatTimeStamp(timeStampS(take) ?? 0)}, {formatStampDistance(place.offsetSamples, session)}
    </span>
  )
}
