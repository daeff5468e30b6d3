// The window: the five places of a session, and the transport below them.

import { useQuery } from '@tanstack/react-query'
import { useEffect } from 'react'
import { RestoreArchive } from '../panels/archive/restore-dialog.tsx'
import { BounceResult } from '../panels/bounce/bounce-result.tsx'
import { DeliveryResult } from '../panels/delivery/delivery-result.tsx'
import { ExchangeDialogs } from '../panels/exchange/exchange-dialogs.tsx'
import { MissingTakes } from '../panels/missing/missing-dialog.tsx'
import { NoticeLines } from '../parts/notices/notice-lines.tsx'
import { ChainPlace } from '../places/chain/chain-place.tsx'
import { IntakePlace } from '../places/intake/intake-place.tsx'
import { LedgerPlace } from '../places/ledger/ledger-place.tsx'
import { MicsPlace } from '../places/mics/mics-place.tsx'
import { StackPlace } from '../places/stack/stack-place.tsx'
import { sessionsQuery, workplaceQuery } from '../state/queries.ts'
import { type Place, selectSession, useSelection } from '../state/selection.ts'
import { ConnectionLost } from './connection-lost.tsx'
import { KeyHelp } from './keys/key-help.tsx'
import { People } from './people/people-dialog.tsx'
import { StartPage, useIsStartShown } from './start-page.tsx'
import { PLACE_NAMES, TopBar } from './top-bar.tsx'
import { Transport } from './transport/transport.tsx'
import { useDropGuard } from './use-drop-guard.ts'
import { useMainFocus } from './use-main-focus.ts'
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
  const isStartShown = useIsStartShown()
  useShortcuts()
  useDropGuard()
  useMainFocus()

  // Opens the newest session on the first start, or if the last one no longer exists.
  useEffect(() => {
    const list = sessions.data
    if (list === undefined || list.some((session) => session.id === sessionId)) return
    selectSession(list[0]?.id ?? null)
  }, [sessions.data, sessionId])

  // Mics and Ledger work without a session.
  const needsSession = place !== 'mics' && place !== 'ledger'
  const isStarting = needsSession && (workplace.data?.empty === true || sessions.data?.length === 0)
  return (
    <div className="app">
      <TopBar />
      <ConnectionLost />
      <main className="place" tabIndex={-1} aria-label={PLACE_NAMES[place]}>
        {isStarting || isStartShown ? (
          <StartPage isEmpty={isStarting} />
        ) : (
          <>
            <h1 className="visually-hidden">{PLACE_NAMES[place]}</h1>
            {PLACE_VIEWS[place]()}
          </>
        )}
      </main>
      <NoticeLines />
      <Transport />
      <BounceResult />
      <DeliveryResult />
      <MissingTakes />
      <RestoreArchive />
      <ExchangeDialogs />
      <KeyHelp />
      <People />
    </div>
  )
}
