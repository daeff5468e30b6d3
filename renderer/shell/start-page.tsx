// The page shown while there are no sessions, and by the program's name in the top bar: returning artists, a new artist,
// the demo.

import { type DragEvent, useState } from 'react'
import { FileTrigger } from 'react-aria-components'
import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { nameOfBackgroundTask } from '../../app/words/background-tasks.ts'
import { beginFromFolder } from '../acts/begin-from-folder.ts'
import { ReturningList } from '../panels/returns/returning-list.tsx'
import { NewSessionDialog } from '../panels/session/new-session-dialog.tsx'
import { Button } from '../parts/button.tsx'
import { chosenFolder, type DroppedFolder, droppedFolder } from '../parts/dropped-folder.ts'
import { useFileDrop } from '../parts/use-file-drop.ts'
import { client } from '../state/connection.ts'
import { showVoiceImport } from '../state/exchange-dialog.ts'
import { runBackgroundTask, useBackgroundTasks } from '../state/notices.ts'
import { showRestore } from '../state/restore-dialog.ts'
import { watchSelection } from '../state/selection.ts'
import { HEARING_NOTE } from './hearing-caution.tsx'
import { showPeople } from './people/people-dialog.tsx'
import { RiverMark } from './river-mark.tsx'
import { showDemo } from './show-demo.ts'
import { focusPlayWhenReady } from './transport/transport.tsx'

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
/** Fills a new session from a folder; then Space plays, and the button that does it has the focus. */
async function begin(folder: DroppedFolder): Promise<void> {
  if (await beginFromFolder(folder)) focusPlayWhenReady()
}

export function StartPage({ isEmpty }: { isEmpty: boolean }) {
  const [isMaking, setMaking] = useState(false)
  const drop = useFileDrop(() => {})
  const onDrop = (event: DragEvent): void => {
    const dropped = droppedFolder(event.dataTransfer)
    drop.onDrop(event)
    void dropped.then(begin)
  }
  const building = useBackgroundTasks().find((act) => act.title === DEMO_TITLE)
  return (
    <section className="start-page" aria-label="Start" {...drop} onDrop={onDrop}>
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
        <FileTrigger
          acceptDirectory
          onSelect={(files) => {
            if (files !== null && files.length > 0) void begin(chosenFolder([...files]))
          }}
        >
          <Button look="main" autoFocus aria-describedby="start-folder">
            Open a folder of takes
          </Button>
        </FileTrigger>
        <Button onPress={() => setMaking(true)}>New artist and session</Button>
        <Button onPress={showPeople}>People and songs</Button>
        <Button onPress={showRestore}>Restore from an archive…</Button>
        <Button onPress={showVoiceImport}>Import a voice…</Button>
        <Button onPress={() => void buildDemo()} isDisabled={building !== undefined}>
          Build the demo
        </Button>
      </div>
      <p className="start-folder soft" id="start-folder">
        Or drop a folder here. Its files become a stack, grouped by what their names say: lead, double, ad-lib
        or harmony. The files themselves are never changed, and every name can be changed later.
      </p>
      <p className="start-building soft">
        {building === undefined
          ? 'The demo contains an invented artist with takes, mics and curves.'
          : `Building the demo: ${building.doing === '' ? 'starting' : building.doing}`}
      </p>
      <p className="hearing-note">{HEARING_NOTE}</p>
      {isMaking ? <NewSessionDialog onClose={() => setMaking(false)} /> : null}
    </section>
  )
}
