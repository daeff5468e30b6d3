// The artists who can come back, each with the last session: one press opens the dialog with everything filled in.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import { formatDate } from '../../../app/words/format.ts'
import { type Returning, returningArtists } from '../../formats/recall/returning.ts'
import { Button } from '../../parts/button.tsx'
import { sessionChainsQuery, sessionsQuery } from '../../state/queries.ts'
import { ReturnDialog } from './return-dialog.tsx'
import './returns.css'

/** More would not fit beside the other acts of the start page; the rest are in People and songs. */
const MOST_LISTED = 6

/** @param onBegun called when a session was begun */
export function ReturningList({ onBegun }: { onBegun: () => void }) {
  const sessions = useQuery(sessionsQuery).data ?? []
  const chains = useQuery(sessionChainsQuery).data ?? []
  const [chosen, setChosen] = useState<Returning | null>(null)
  const listed = returningArtists(sessions, chains).slice(0, MOST_LISTED)
  if (listed.length === 0) return null
  return (
    <section className="returning" aria-label="Artists who return">
      <h2>Returning artists</h2>
      <ul>
        {listed.map((one) => (
          <li key={one.artistId}>
            <Button className="returning-artist" onPress={() => setChosen(one)}>
              <strong>{one.artistName}</strong>
              <span className="soft">
                As on {formatDate(one.session.date)}: {one.chain}
              </span>
            </Button>
          </li>
        ))}
      </ul>
      {chosen === null ? null : (
        <ReturnDialog
          artistId={chosen.artistId}
          artistName={chosen.artistName}
          onClose={() => setChosen(null)}
          onBegun={onBegun}
        />
      )}
    </section>
  )
}
