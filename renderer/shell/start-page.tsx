// The page shown while there are no sessions, and by the program's name in the top bar: returning artists, a new artist,
// the demo.

import { useState } from 'react'
import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { nameOfBackgroundTask } from '../../app/words/background-tasks.ts'
import { ReturningList } from '../panels/returns/returning-list.tsx'
import { NewSessionDialog } from '../panels/session/new-session-dialog.tsx'
import { Button } from '../parts/button.tsx'
import { client } from '../state/connection.ts'
import { showVoiceImport } from '../state/exchange-dialog.ts'
import { runBackgroundTask, useBackgroundTasks } from '../state/notices.ts'
import { showRestore } from '../state/restore-dialog.ts'
import { watchSelection } from '../state/selection.ts'
import { HEARING_NOTE } from './hearing-caution.tsx'
import { showPeople } from './people/people-dialog.tsx'
import { RiverMark } from './river-mark.tsx'
import { showDemo } from './show-demo.ts'

const DEMO_TITLE = nameOfBackgroundTask({ kind: 'demo' })

async function buildDemo(): Promise<void> {
  const demo = await runBackgroundTask(DEMO_TITLE, (options) => client.buildDemo({}, options))
  if (demo !== undefined) await showDemo(demo.sessions)
}

const store = createStore<{ readonly isShown: boolean }>()(() => ({ isShown: false }))
/** Whether the page is shown in place of the session. */
export const useIsStartShown = (): boolean => useStore(store).isShown
export const showStart = (isShown: boolean): void => store.setState({ isShown })
// Whoever opens a place or a session leaves the page.
watchSelection(() => showStart(false))

/** @param isEmpty whether the catalogue has no sessions */
export function StartPage({ isEmpty }: { isEmpty: boolean }) {
  const [isMaking, setMaking] = useState(false)
  const building = useBackgroundTasks().find((act) => act.title === DEMO_TITLE)
  return (
    <div className="start-page">
      <RiverMark className="start-river" />
      <div className="start-words">
        <h1>Takes in, a vocal stack out</h1>
        <p className="soft">
          Takeloft prepares the vocals of a song for the mix and keeps the settings of each returning artist.
          {isEmpty ? ' The catalogue is empty.' : ''}
        </p>
      </div>
      <ReturningList onBegun={() => showStart(false)} />
      <div className="start-acts">
        <Button look="main" autoFocus onPress={() => setMaking(true)}>
          New artist and session
        </Button>
        <Button onPress={showPeople}>People and songs</Button>
        <Button onPress={showRestore}>Restore from an archive…</Button>
        <Button onPress={showVoiceImport}>Import a voice…</Button>
        <Button onPress={() => void buildDemo()} isDisabled={building !== undefined}>
          Build the demo
        </Button>
      </div>
      <p className="start-building soft">
        {building === undefined
          ? 'The demo contains an invented artist with takes, mics and curves.'
          : `Building the demo: ${building.doing === '' ? 'starting' : building.doing}`}
      </p>
      <p className="hearing-note">{HEARING_NOTE}</p>
      {isMaking ? <NewSessionDialog onClose={() => setMaking(false)} /> : null}
    </div>
  )
}
