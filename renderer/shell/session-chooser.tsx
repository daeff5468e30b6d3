// Chooses the open session, and creates new ones.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import { formatDate, formatRate } from '../formats/format.ts'
import { NewSessionDialog } from '../panels/session/new-session-dialog.tsx'
import { Button } from '../parts/button.tsx'
import { Select } from '../parts/fields/select.tsx'
import { PlusSign } from '../parts/signs.tsx'
import { sessionsQuery } from '../state/queries.ts'
import { selectSession, useSelection } from '../state/selection.ts'

export function SessionChooser() {
  const { sessionId } = useSelection()
  const sessions = useQuery(sessionsQuery).data ?? []
  const [isMaking, setMaking] = useState(false)
  return (
    <>
      {sessions.length === 0 ? null : (
        <Select
          label="Session"
          isLabelHidden
          className="session-chooser"
          placeholder="Choose a session"
          items={sessions.map((session) => ({
            key: session.id,
            name: `${session.songTitle} · ${session.artistName}`,
            detail: `${formatDate(session.date)}, ${formatRate(session.sampleRateHz)}`,
          }))}
          value={sessions.some((session) => session.id === sessionId) ? sessionId : null}
          onChange={selectSession}
        />
      )}
      <Button className="session-new" aria-label="New session" onPress={() => setMaking(true)}>
        <PlusSign />
        <span className="session-new-word">New session</span>
      </Button>
      {isMaking ? (
        <NewSessionDialog
          artistId={sessions.find(({ id }) => id === sessionId)?.artistId ?? null}
          onClose={() => setMaking(false)}
        />
      ) : null}
    </>
  )
}
