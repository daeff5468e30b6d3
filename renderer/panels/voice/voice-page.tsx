// Voice page of a take, in Intake and Chain: analysis, comparison with earlier takes, findings, and
// starting settings.

import { useQuery, useQueryClient } from '@tanstack/react-query'
import { Tab, TabList, TabPanel, Tabs } from 'react-aria-components'
import type { SessionContents, Take } from '../../../app/contract/entities.ts'
import { Failure } from '../../../app/contract/failure.ts'
import { formatNumber, withUnit } from '../../../app/words/format.ts'
import { chainForTake } from '../../acts/chain-for-take.ts'
import { fullerTakes } from '../../formats/voice/fuller-takes.ts'
import { asRead } from '../../formats/voice/voice-words.ts'
import { Button } from '../../parts/button.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { BackSign } from '../../parts/signs.tsx'
import { voicesQuery } from '../../state/queries.ts'
import { goTo, selectGroup, selectTake, useSelection } from '../../state/selection.ts'
import {
  setVoiceView,
  showVoice,
  useVoiceDesk,
  type VoiceView as View,
  type VoicePlace,
} from '../../state/voice-desk.ts'
import { AnalysisProgress } from './analysis-progress.tsx'
import { SoundcheckView } from './soundcheck-view.tsx'
import { StartingSettings } from './starting-settings.tsx'
import { TakeFindings } from './take-findings.tsx'
import { voiceKey, voiceQuery } from './voice-queries.ts'
import { VoiceView } from './voice-view.tsx'
import './voice.css'

const BACK_WORDS: Readonly<Record<VoicePlace, string>> = { intake: 'Back to takes', chain: 'Back to chain' }

export interface VoicePageProps {
  readonly place: VoicePlace
  readonly contents: SessionContents
  readonly take: Take
}

/** Voice page of one take, with a way back to the place it was opened from. */
export function VoicePage({ place, contents, take }: VoicePageProps) {
  const { session } = contents
  const { view } = useVoiceDesk()
  const { groupId } = useSelection()
  const voices = useQuery(voicesQuery(session.artistId)).data ?? []
  const { data, error } = useQuery(voiceQuery(take.id))
  const chain = chainForTake(contents, take.id, groupId)
  const voice = voices.find(({ id }) => id === take.voiceId)

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
        <h2>{voice === undefined ? 'Voice of take' : `Voice ${voice.name}, take`}</h2>
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
            : `${withUnit(formatNumber(data.analysis.activeSeconds, 1), 's')} of active voice`}
        </span>
      </header>
      {error !== null ? (
        <div className="voice-says">
          <p role="status">{asRead(error.message)}</p>
          {isShort(error) && place === 'intake' ? <FullerTakes takes={contents.takes} /> : null}
        </div>
      ) : data === undefined ? (
        <AnalysisProgress of={voiceKey(take.id)} otherwise="Analysing the take…" />
      ) : (
        <div className="voice-body">
          <Tabs
            className="voice-tabs"
            selectedKey={view}
            onSelectionChange={(key) => setVoiceView(key as View)}
          >
            <TabList className="mic-tabs voice-tab-list" aria-label="Analysis views">
              <Tab id="voice" className="mic-tab">
                Voice
              </Tab>
              <Tab id="soundcheck" className="mic-tab">
                Soundcheck
              </Tab>
              <Tab id="findings" className="mic-tab">
                Findings{take.facts.findings.length === 0 ? '' : ` (${take.facts.findings.length})`}
              </Tab>
            </TabList>
            <TabPanel id="voice" className="voice-panel">
              <VoiceView
                take={take}
                sessionRateHz={session.sampleRateHz}
                analysis={data.analysis}
                usual={data.usualBalances}
                remarks={data.remarks}
              />
            </TabPanel>
            <TabPanel id="soundcheck" className="voice-panel">
              <SoundcheckView takeId={take.id} />
            </TabPanel>
            <TabPanel id="findings" className="voice-panel">
              <div className="voice-view">
                <TakeFindings take={take} sessionRateHz={session.sampleRateHz} />
              </div>
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

const isShort = (error: Error): boolean => error instanceof Failure && error.code === 'not-enough-material'

/** Takes of this session with enough voice to analyse. */
function FullerTakes({ takes }: { takes: readonly Take[] }) {
  const queries = useQueryClient()
  const fuller = fullerTakes(
    takes,
    (takeId) => queries.getQueryState(voiceQuery(takeId).queryKey)?.status === 'error',
  )
  if (fuller.length === 0) return null
  return (
    <p className="voice-longer">
      <span className="soft">Takes with more voice in this session:</span>
      {fuller.map(({ id, name }) => (
        <Button key={id} look="plain" onPress={() => selectTake(id)}>
          {name}
        </Button>
      ))}
    </p>
  )
}
