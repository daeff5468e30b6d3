// Intake: import takes, check them, place them in the stack.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { SessionContents } from '../../../app/contract/entities.ts'
import { type BatchSettings, importBatch } from '../../acts/batch-acts.ts'
import { placeTake } from '../../acts/stack-acts.ts'
import { guessGroup, guessRole } from '../../formats/role-guess.ts'
import { CurrentSession } from '../../panels/session/current-session.tsx'
import { VoicePage } from '../../panels/voice/voice-page.tsx'
import { EmptyState } from '../../parts/empty-state.tsx'
import { useFileDrop } from '../../parts/use-file-drop.ts'
import { micsQuery, voicesQuery } from '../../state/queries.ts'
import { selectTake, useSelection } from '../../state/selection.ts'
import { useVoiceDesk } from '../../state/voice-desk.ts'
import { BatchReportPanel } from './batch-report-panel.tsx'
import { BatchSettingsBar } from './batch-settings.tsx'
import { EarlierTakes } from './earlier-takes.tsx'
import { TakeSheet } from './take-sheet.tsx'
import { TakeTable } from './take-table.tsx'
import './intake.css'

/** Intake for the current session. */
export function IntakePlace() {
  return (
    <CurrentSession>
      {(contents) => <IntakeOf key={contents.session.id} contents={contents} />}
    </CurrentSession>
  )
}

/** Voice, mic and curve default to those of the last take in the session. */
const startSettings = ({ takes }: SessionContents): BatchSettings => {
  const last = takes.at(-1)
  return { voiceId: last?.voiceId ?? null, micId: last?.micId ?? null, curveId: last?.curveId ?? null }
}

function IntakeOf({ contents }: { contents: SessionContents }) {
  const { session, takes, groups, layers } = contents
  const { takeId } = useSelection()
  const isVoiceShown = useVoiceDesk().open.intake
  const voices = useQuery(voicesQuery(session.artistId)).data ?? []
  const mics = useQuery(micsQuery).data ?? []
  const [chosenSettings, setSettings] = useState<BatchSettings | null>(null)
  const [isFinding, setFinding] = useState(false)
  const start = startSettings(contents)
  // The last take may have another artist's voice. If the artist has one voice, it is preselected.
  const usedVoice = voices.find((voice) => voice.id === start.voiceId)
  const onlyVoice = voices.length === 1 ? voices[0] : undefined
  const settings = chosenSettings ?? { ...start, voiceId: (usedVoice ?? onlyVoice)?.id ?? null }
  const take = takes.find((one) => one.id === takeId) ?? takes[0]
  const onFiles = (files: readonly File[]): void => void importBatch(session.id, files, settings)
  const drop = useFileDrop(onFiles)

  if (take !== undefined && isVoiceShown) return <VoicePage place="intake" {...{ contents, take }} />
  return (
    <section className="intake-place" aria-label="Intake" {...drop}>
      <BatchSettingsBar
        artistId={session.artistId}
        settings={settings}
        onChange={setSettings}
        onFiles={onFiles}
        onEarlier={() => setFinding(true)}
      />
      {isFinding ? <EarlierTakes contents={contents} onClose={() => setFinding(false)} /> : null}
      <BatchReportPanel />
      {take === undefined ? (
        <EmptyState title="No takes yet">
          <p>
            Import today’s takes: WAV, AIFF or FLAC, any sample rate. The original files are never changed.
          </p>
        </EmptyState>
      ) : (
        <>
          <TakeTable
            {...{ session, takes, layers, mics, voices }}
            selectedId={take.id}
            onSelect={selectTake}
            onPlace={(one) => {
              const role = guessRole(one.name, layers)
              const groupId = guessGroup(role, groups, layers)
              if (groupId !== null) void placeTake(contents, one, role, groupId)
            }}
          />
          <TakeSheet key={take.id} {...{ contents, take, mics, voices }} />
        </>
      )}
    </section>
  )
}
