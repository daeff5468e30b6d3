// The voice of a take, in Intake and in Chain: what it is like, how it stands beside its
// history, and settings to start from.

import { useQuery } from '@tanstack/react-query'
import { Tab, TabList, TabPanel, Tabs } from 'react-aria-components'
import type { SessionContents, Take } from '../../app/contract/entities.ts'
import { Button } from '../parts/button.tsx'
import { formatNumber, withUnit } from '../parts/format.ts'
import { Select } from '../parts/select.tsx'
import { BackSign } from '../parts/signs.tsx'
import { voicesQuery } from '../state/queries.ts'
import { goTo, selectGroup, selectTake, useSelection } from '../state/selection.ts'
import { chainForTake } from './chain-for-take.ts'
import { SoundcheckView } from './soundcheck-view.tsx'
import { StartingSettings } from './starting-settings.tsx'
import {
  setVoiceView,
  showVoice,
  useVoiceDesk,
  type VoiceView as View,
  type VoicePlace,
} from './voice-desk.ts'
import { voiceQuery } from './voice-queries.ts'
import { VoiceView } from './voice-view.tsx'
import './voice.css'

const BACK_WORDS: Readonly<Record<VoicePlace, string>> = { intake: 'All takes', chain: 'The chain' }

export interface VoicePageProps {
  readonly place: VoicePlace
  readonly contents: SessionContents
  readonly take: Take
}

export function VoicePage({ place, contents, take }: VoicePageProps) {
  const { session } = contents
  const { view } = useVoiceDesk()
  const { groupId } = useSelection()
  const voices = useQuery(voicesQuery(session.artistId)).data ?? []
  const known = take.facts.voice
  const isShort = known?.outcome === 'not-enough-material'
  const { data, error } = useQuery({ ...voiceQuery(take.id), enabled: !isShort })
  const chain = chainForTake(contents, take.id, groupId)
  const voice = voices.find(({ id }) => id === take.voiceId)
  const says = isShort ? known.reason : error?.message

  const openChain = (): void => {
    if (chain?.owner.groupId != null) selectGroup(chain.owner.groupId)
    showVoice('chain', false)
    goTo('chain')
  }

  return (
    <section className="voice-page" aria-label={`Voice of ${take.name}`}>
      <header className="voice-head">
        <Button look="plain" autoFocus onPress={() => showVoice(place, false)}>
          <BackSign /> {BACK_WORDS[place]}
        </Button>
        <h2>{voice === undefined ? 'The voice of' : `Voice ${voice.name}, on`}</h2>
        {place === 'chain' ? (
          <span>{take.name}</span>
        ) : (
          <Select
            className="voice-head-take"
            label="Take"
            isLabelHidden
            items={contents.takes.map(({ id, name }) => ({ key: id, name }))}
            value={take.id}
            onChange={selectTake}
          />
        )}
        <span className="soft">
          {data === undefined
            ? ''
            : `${withUnit(formatNumber(data.analysis.activeSeconds, 1), 's')} of sounding voice`}
        </span>
      </header>
      {says !== undefined ? (
        <div className="voice-says">
          <p role="status">{says}</p>
          {isShort && place === 'intake' ? <LongerTakes takes={contents.takes} /> : null}
        </div>
      ) : data === undefined ? (
        <p className="voice-says soft" role="status">
          Listening to the take…
        </p>
      ) : (
        <div className="voice-body">
          <Tabs
            className="voice-tabs"
            selectedKey={view}
            onSelectionChange={(key) => setVoiceView(key as View)}
          >
            <TabList className="mic-tabs voice-tab-list" aria-label="What to look at">
              <Tab id="voice" className="mic-tab">
                Voice
              </Tab>
              <Tab id="soundcheck" className="mic-tab">
                Soundcheck
              </Tab>
            </TabList>
            <TabPanel id="voice" className="voice-panel">
              <VoiceView
                take={take}
                sessionRateHz={session.sampleRateHz}
                analysis={data.analysis}
                usual={data.usualBalances}
              />
            </TabPanel>
            <TabPanel id="soundcheck" className="voice-panel">
              <SoundcheckView takeId={take.id} />
            </TabPanel>
          </Tabs>
          <StartingSettings
            key={take.id}
            take={take}
            sessionRateHz={session.sampleRateHz}
            proposals={data.proposals}
            chain={chain}
            onOpenChain={openChain}
          />
        </div>
      )}
    </section>
  )
}

/** Of this session, the ones to go to instead. */
function LongerTakes({ takes }: { takes: readonly Take[] }) {
  const longer = takes.filter(({ facts }) => facts.voice?.outcome === 'analysed')
  if (longer.length === 0) return null
  return (
    <p className="voice-longer">
      <span className="soft">With enough voice:</span>
      {longer.map(({ id, name }) => (
        <Button key={id} look="plain" onPress={() => selectTake(id)}>
          {name}
        </Button>
      ))}
    </p>
  )
}
