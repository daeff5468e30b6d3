// Ledger: the events of the catalogue, the book of each voice, and a search over everything.

import { useState } from 'react'
import { Tab, TabList, TabPanel, Tabs } from 'react-aria-components'
import { type LedgerView, showLedgerView, useBookDesk } from './book/book-desk.ts'
import { BookView } from './book/book-view.tsx'
import { FindView } from './book/find-view.tsx'
import { EventsView } from './events-view.tsx'
import { ChainVersionDialog, type ShownVersion } from './versions/chain-version-dialog.tsx'
import './ledger.css'

/** Ledger of the catalogue. */
export function LedgerPlace() {
  const { view } = useBookDesk()
  const [version, setVersion] = useState<ShownVersion | null>(null)
  return (
    <>
      {/* Not inside the tabs, which render what they contain twice. */}
      {version === null ? null : <ChainVersionDialog version={version} onClose={() => setVersion(null)} />}
      <Tabs
        className="ledger-place"
        selectedKey={view}
        onSelectionChange={(key) => showLedgerView(key as LedgerView)}
      >
        <TabList className="mic-tabs ledger-tabs" aria-label="Views of the ledger">
          <Tab id="events" className="mic-tab">
            Events
          </Tab>
          <Tab id="book" className="mic-tab">
            Voice’s book
          </Tab>
          <Tab id="find" className="mic-tab">
            Find
          </Tab>
        </TabList>
        <TabPanel id="events" className="ledger-panel">
          <EventsView onVersion={setVersion} />
        </TabPanel>
        <TabPanel id="book" className="ledger-panel">
          <BookView onVersion={setVersion} />
        </TabPanel>
        <TabPanel id="find" className="ledger-panel">
          <FindView onVersion={setVersion} />
        </TabPanel>
      </Tabs>
    </>
  )
}
