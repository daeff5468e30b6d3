// The page shown while there are no sessions: build the demo, or start with an artist.

import { useState } from 'react'
import { nameOfBackgroundTask } from '../../app/words/background-tasks.ts'
import { NewSessionDialog } from '../panels/session/new-session-dialog.tsx'
import { Button } from '../parts/button.tsx'
import { client } from '../state/connection.ts'
import { runBackgroundTask, useBackgroundTasks } from '../state/notices.ts'
import { showRestore } from '../state/restore-dialog.ts'
import { HEARING_NOTE } from './hearing-caution.tsx'
import { showPeople } from './people/people-dialog.tsx'
import { RiverMark } from './river-mark.tsx'
import { showDemo } from './show-demo.ts'

const DEMO_TITLE = nameOfBackgroundTask({ kind: 'demo' })

async function buildDemo(): Promise<void> {
  const demo = await runBackgroundTask(DEMO_TITLE, (options) => client.buildDemo({}, options))
  if (demo !== undefined) await showDemo(demo.sessions)
}

export function StartPage() {
  const [isMaking, setMaking] = useState(false)
  const building = useBackgroundTasks().find((act) => act.title === DEMO_TITLE)
  return (
    <div className="start-page">
      <RiverMark className="start-river" />
      <div className="start-words">
        <h1>Takes in, a vocal stack out</h1>
        <p className="soft">
          Takeloft prepares the vocals of a song for the mix and keeps the settings of each returning artist.
          The catalogue is empty.
        </p>
      </div>
      <div className="start-acts">
        <Button look="main" autoFocus onPress={() => setMaking(true)}>
          New artist and session
        </Button>
        <Button onPress={showPeople}>People and songs</Button>
        <Button onPress={showRestore}>Restore from an archive…</Button>
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
