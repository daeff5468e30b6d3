// The first page of an empty catalogue: build the demo, or begin with an artist.

import { useState } from 'react'
import { Button } from '../parts/button.tsx'
import { client } from '../state/connection.ts'
import { remark, runLongAct, useLongActs } from '../state/notices.ts'
import { goTo } from '../state/selection.ts'
import { chooseNewSession } from './choose-new-session.ts'
import { HEARING_NOTE } from './hearing-caution.tsx'
import { NewSessionDialog } from './new-session-dialog.tsx'
import { RiverMark } from './river-mark.tsx'

const DEMO_TITLE = 'Building the demo'

async function buildDemo(): Promise<void> {
  const demo = await runLongAct(DEMO_TITLE, (options) => client.buildDemo({}, options))
  if (demo === undefined) return
  const last = demo.sessions.at(-1)
  if (last !== undefined) await chooseNewSession(last)
  goTo('stack')
  remark('The demo is built', 'Artist, songs, mics and curves in it are invented.')
}

export function StartPage() {
  const [isMaking, setMaking] = useState(false)
  const isBuilding = useLongActs().some((act) => act.title === DEMO_TITLE)
  return (
    <div className="start-page">
      <RiverMark className="start-river" />
      <div className="start-words">
        <h1>Takes in, a vocal stack out</h1>
        <p className="soft">
          Takeloft prepares the vocals of a song for the mix and keeps the sound of each returning artist.
          Nothing is in the catalogue yet.
        </p>
      </div>
      <div className="start-acts">
        <Button look="main" onPress={() => setMaking(true)}>
          New artist and session
        </Button>
        <Button onPress={() => void buildDemo()} isDisabled={isBuilding}>
          Build the demo
        </Button>
      </div>
      <p className="hearing-note">{HEARING_NOTE}</p>
      {isMaking ? <NewSessionDialog onClose={() => setMaking(false)} /> : null}
    </div>
  )
}
