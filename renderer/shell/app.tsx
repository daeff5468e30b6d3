// The window: five places over one session, the transport below them.

import { useQuery } from '@tanstack/react-query'
import { useEffect } from 'react'
import { BounceResult } from '../panels/bounce/bounce-result.tsx'
import { NoticeLines } from '../parts/notices/notice-lines.tsx'
import { ChainPlace } from '../places/chain/chain-place.tsx'
import { IntakePlace } from '../places/intake/intake-place.tsx'
import { LedgerPlace } from '../places/ledger/ledger-place.tsx'
import { MicsPlace } from '../places/mics/mics-place.tsx'
import { StackPlace } from '../places/stack/stack-place.tsx'
import { player } from '../playback/player.ts'
import { sessionsQuery, workplaceQuery } from '../state/queries.ts'
import { type Place, selectSession, useSelection } from '../state/selection.ts'
import { undoHistory } from '../state/undo.ts'
import { ConnectionLost } from './connection-lost.tsx'
import { KeyHelp } from './keys/key-help.tsx'
import { StartPage } from './start-page.tsx'
import { PLACE_NAMES, TopBar } from './top-bar.tsx'
import { Transport } from './transport/transport.tsx'
import { useDropGuard } from './use-drop-guard.ts'
import { useShortcuts } from './use-shortcuts.ts'
import './app.css'

const PLACE_VIEWS: Readonly<Record<Place, () => React.ReactNode>> = {
  intake: () => <IntakePlace />,
  mics: () => <MicsPlace />,
  stack: () => <StackPlace />,
  chain: () => <ChainPlace />,
  ledger: () => <LedgerPlace />,
}

export function App() {
  const { place, sessionId } = useSelection()
  const sessions = useQuery(sessionsQuery)
  const workplace = useQuery(workplaceQuery)
  useShortcuts()
  useDropGuard()

  // The session of the last visit may be gone, and on a first visit there is none: take the newest.
  useEffect(() => {
    const list = sessions.data
    if (list === undefined || list.some((session) => session.id === sessionId)) return
    selectSession(list[0]?.id ?? null)
  }, [sessions.data, sessionId])

  // What was done in one session is not undone from another, and its sound does not follow.
  // biome-ignore lint/correctness/useExhaustiveDependencies: runs when the session changes, and only then
  useEffect(() => {
    undoHistory.clear()
    void player.stop()
  }, [sessionId])

  // Without a session there is nothing to take in, stack or process; mics and history stand by themselves.
  const needsSession = place !== 'mics' && place !== 'ledger'
  const isStarting = needsSession && (workplace.data?.empty === true || sessions.data?.length === 0)
  return (
    <div className="app">
      <TopBar />
      <ConnectionLost />
      <main className="place" aria-label={PLACE_NAMES[place]}>
        {isStarting ? <StartPage /> : PLACE_VIEWS[place]()}
      </main>
      <NoticeLines />
      <Transport />
      <BounceResult />
      <KeyHelp />
    </div>
  )
}
