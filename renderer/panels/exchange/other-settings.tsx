// Says that another computer has set the session otherwise, shows both sides, and takes the other one.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { OtherSettings } from '../../../app/contract/exchange/other-settings.ts'
import { formatDate, formatTimeOfDay, isoDateOf } from '../../../app/words/format.ts'
import { takeOtherSettings } from '../../acts/exchange/other-settings.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { messageOf } from '../../state/notices.ts'
import { otherSettingsQuery } from '../../state/queries.ts'
import './exchange.css'

/** A button, only where there are other settings. */
export function OtherSettingsButton({ sessionId }: { sessionId: number }) {
  const others = useQuery(otherSettingsQuery(sessionId)).data ?? []
  const [isOpen, setOpen] = useState(false)
  if (others.length === 0) return null
  return (
    <>
      <Button onPress={() => setOpen(true)}>Other settings</Button>
      {isOpen ? (
        <OtherSettingsDialog sessionId={sessionId} others={others} onClose={() => setOpen(false)} />
      ) : null}
    </>
  )
}

interface OtherSettingsDialogProps {
  readonly sessionId: number
  readonly others: readonly OtherSettings[]
  readonly onClose: () => void
}

function OtherSettingsDialog({ sessionId, others, onClose }: OtherSettingsDialogProps) {
  const [failure, setFailure] = useState<string | null>(null)
  const take = (settings: OtherSettings): void => {
    setFailure(null)
    takeOtherSettings(sessionId, settings).then(onClose, (error: unknown) => setFailure(messageOf(error)))
  }
  return (
    <Dialog title="Settings of another computer" isOpen onClose={onClose} width="wide">
      <p>
        The session was set differently on two computers. Those set here are valid; the others are kept.
        Taking them replaces tempo, groups, chains and layers of this session, and Undo brings these back.
      </p>
      {others.map((settings) => {
        const { at, machine, computer, here, there } = settings
        const when = `${formatDate(isoDateOf(at))} ${formatTimeOfDay(at)}`
        const name = `${computer === '' ? 'another computer' : computer}, ${when}`
        return (
          <section key={`${at} ${machine}`} aria-label={name}>
            <h3>{name}</h3>
            <dl className="exchange-sides">
              <div>
                <dt>Valid here</dt>
                <dd>{here}</dd>
              </div>
              <div>
                <dt>Of the other computer</dt>
                <dd>{there}</dd>
              </div>
            </dl>
            <p>
              <Button onPress={() => take(settings)}>Take the other computer’s settings</Button>
            </p>
          </section>
        )
      })}
      <DialogFailure message={failure} />
      <DialogButtons>
        <Button onPress={onClose}>Close</Button>
      </DialogButtons>
    </Dialog>
  )
}
