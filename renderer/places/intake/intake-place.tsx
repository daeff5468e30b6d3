// Intake: import takes, check them, place them in the stack.

import { useQuery } from '@tanstack/react-query'
import { useCallback, useMemo, useRef, useState } from 'react'
import type { SessionContents, Take, TakeAbsence } from '../../../app/contract/entities.ts'
import { missingTakesLine } from '../../../app/words/missing-takes.ts'
import { importBatch, useIsImporting } from '../../acts/batch-acts.ts'
import { type Placing, placeTakes } from '../../acts/place-acts.ts'
import { changeTakes, removeTakes, withOnlyCurve } from '../../acts/take-acts.ts'
import { guessRole } from '../../formats/role-guess.ts'
import { timeStampS } from '../../formats/time-stamp.ts'
import { ariaKeysOf, type KeyActName, keyActOf } from '../../keys/key-table.ts'
import { isTakenElsewhere } from '../../keys/key-target.ts'
import { useKeyDown } from '../../keys/use-key-down.ts'
import { MicDialog } from '../../panels/mic/mic-dialog.tsx'
import { CurrentSession } from '../../panels/session/current-session.tsx'
import { VoicePage } from '../../panels/voice/voice-page.tsx'
import { Button } from '../../parts/button.tsx'
import { EmptyState } from '../../parts/empty-state.tsx'
import { useFileDrop } from '../../parts/use-file-drop.ts'
import { findMissingTakes, useMissingTakes } from '../../state/missing-takes.ts'
import { curvesQuery, micsQuery, voicesQuery } from '../../state/queries.ts'
import { selectTake, useSelection } from '../../state/selection.ts'
import { changeTakeDesk, type ImportSettings, toggleTakeDetails, useTakeDesk } from '../../state/take-desk.ts'
import { showVoice, useVoiceDesk } from '../../state/voice-desk.ts'
import { BatchReportPanel } from './batch-report-panel.tsx'
import { BatchSettingsBar, TakeFilter } from './batch-settings.tsx'
import { EarlierTakes } from './earlier-takes.tsx'
import { hearTake } from './hear-take.ts'
import { NewVoiceDialog } from './new-voice-dialog.tsx'
import { isUnclear, PlaceDialog, type Wish } from './place-dialog.tsx'
import { columnsFor } from './take-columns.tsx'
import { filteredRows, sortedRows, takeRows } from './take-rows.ts'
import { type PlaceChoice, TakeSheet } from './take-sheet.tsx'
import { TakeTable } from './take-table.tsx'
import { useWindowWidth } from './use-window-width.ts'
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
const startSettings = ({ takes }: SessionContents): ImportSettings => {
  const last = takes.at(-1)
  return { voiceId: last?.voiceId ?? null, micId: last?.micId ?? null, curveId: last?.curveId ?? null }
}

const hasStampedLayer = ({ takes, layers }: SessionContents): boolean => {
  const stamped = new Set(takes.filter((take) => timeStampS(take) !== null).map(({ id }) => id))
  return layers.some(({ takeId }) => stamped.has(takeId))
}

/** Who gets the voice or mic that a dialog creates. */
type Asked =
  | { readonly what: 'earlier' }
  | { readonly what: 'voice' | 'mic'; readonly for: 'import' | readonly Take[] }
  | { readonly what: 'place'; readonly wishes: readonly Wish[] }

const NO_VOICES: never[] = []

function IntakeOf({ contents }: { contents: SessionContents }) {
  const { session, takes, layers } = contents
  const { takeId } = useSelection()
  const isImporting = useIsImporting(session.id)
  const isVoiceShown = useVoiceDesk().open.intake
  const voices = useQuery(voicesQuery(session.artistId)).data ?? NO_VOICES
  const mics = useQuery(micsQuery).data ?? NO_VOICES
  const curves = useQuery(curvesQuery).data ?? NO_VOICES
  const [asked, setAsked] = useState<Asked | null>(null)
  const filterInput = useRef<HTMLInputElement>(null)
  const widthPx = useWindowWidth()
  const desk = useTakeDesk(session.id)
  const chosenSettings = desk.importSettings
  const setSettings = useCallback(
    (importSettings: ImportSettings): void => changeTakeDesk(session.id, { importSettings }),
    [session.id],
  )

  const start = useMemo(() => startSettings(contents), [contents])
  // The last take may have another artist's voice. If the artist has one voice, it is preselected.
  const usedVoice = voices.find((voice) => voice.id === start.voiceId)
  const onlyVoice = voices.length === 1 ? voices[0] : undefined
  const startVoiceId = (usedVoice ?? onlyVoice)?.id ?? null
  const settings = useMemo(
    () => chosenSettings ?? { ...start, voiceId: startVoiceId },
    [chosenSettings, start, startVoiceId],
  )
  const onFiles = useCallback(
    (files: readonly File[]): void => void importBatch(session.id, files, settings),
    [session.id, settings],
  )
  const drop = useFileDrop(onFiles)
  // Not drawn anew when a take is selected: its drop-down lists are slow to build.
  const settingsBar = useMemo(
    () => (
      <BatchSettingsBar
        artistId={session.artistId}
        settings={settings}
        onChange={setSettings}
        onFiles={onFiles}
        onEarlier={() => setAsked({ what: 'earlier' })}
        onNewVoice={() => setAsked({ what: 'voice', for: 'import' })}
        onNewMic={() => setAsked({ what: 'mic', for: 'import' })}
      />
    ),
    [session.artistId, settings, setSettings, onFiles],
  )

  const missing = useMissingTakes()
  const allRows = useMemo(
    () => takeRows({ takes, layers, voices, mics, missing }),
    [takes, layers, voices, mics, missing],
  )
  const columns = useMemo(() => columnsFor(widthPx, allRows), [widthPx, allRows])
  const rows = useMemo(() => {
    const column = columns.find(({ key }) => key === desk.sort?.column)
    return sortedRows(
      filteredRows(allRows, desk.filter),
      desk.sort,
      column?.value ?? (({ number }) => number),
    )
  }, [allRows, columns, desk.filter, desk.sort])

  // The selected take may have been chosen elsewhere: by an import, a search, or another place.
  const wantedId = takeId ?? desk.leadId
  const lead = rows.find(({ id }) => id === wantedId) ?? rows[0]
  const kept = rows.filter(({ id }) => desk.selected.includes(id))
  const selected = lead === undefined ? [] : kept.includes(lead) ? kept : [lead]
  const selectedTakes = selected.map(({ take }) => take)

  const select = (ids: readonly number[]): void => {
    const before = new Set(selected.map(({ id }) => id))
    // The last one added, which is where the focus is.
    const leadId =
      ids.findLast((id) => !before.has(id)) ?? (ids.includes(lead?.id ?? 0) ? lead?.id : ids.at(-1))
    changeTakeDesk(session.id, { selected: ids, leadId: leadId ?? null })
    selectTake(leadId ?? null)
  }
  const place = (wishes: readonly Wish[]): void => {
    if (wishes.some((wish) => isUnclear(wish, session))) setAsked({ what: 'place', wishes })
    else void placeTakes(contents, wishes as readonly Placing[])
  }
  const unplaced = rows.filter(({ placed }) => placed.length === 0)
  const placeAll = (): void =>
    place(unplaced.map(({ take, guess }) => ({ take, role: guess, groupId: null })))
  useKeyDown((event) => {
    if (keyActOf(event, 'intake') !== 'placeAll' || isTakenElsewhere(event.target)) return
    if (isVoiceShown || event.repeat || unplaced.length === 0) return
    event.preventDefault()
    event.stopPropagation()
    placeAll()
  })
  const placeSelected = ({ role, groupId }: PlaceChoice): void => {
    // One take can be placed again; of several, only those that are not placed yet.
    const chosen = selected.length === 1 ? selected : selected.filter(({ placed }) => placed.length === 0)
    const listed = chosen.length === 0 ? selected : chosen
    place(listed.map(({ take }) => ({ take, role: role ?? guessRole(take.name), groupId })))
  }
  const remove = (): void =>
    void removeTakes(
      session.id,
      rows.map(({ take }) => take),
      selectedTakes,
      layers,
    )
  const analyse = (): void => {
    if (lead === undefined) return
    selectTake(lead.id)
    showVoice('intake', true)
  }
  const act = (name: KeyActName): void => {
    if (name === 'placeTakes') placeSelected({ role: null, groupId: null })
    else if (name === 'hearTake' && lead !== undefined) hearTake(lead.take, session)
    else if (name === 'analyseTake') analyse()
    else if (name === 'takeDetails') toggleTakeDetails()
    else if (name === 'filterTakes') filterInput.current?.focus()
    else if (name === 'removeTakes') remove()
  }
  const setMade = (made: 'voice' | 'mic', id: number): void => {
    const target = asked?.what === made ? asked.for : 'import'
    const changes = made === 'voice' ? { voiceId: id } : withOnlyCurve(id, curves)
    if (target === 'import') setSettings({ ...settings, ...changes })
    else void changeTakes(target, changes, made)
    setAsked(null)
  }

  if (lead !== undefined && isVoiceShown)
    return <VoicePage place="intake" contents={contents} take={lead.take} />
  const [first, ...others] =
    lead === undefined ? [] : [lead.take, ...selectedTakes.filter((one) => one !== lead.take)]
  return (
    <section className="intake-place" aria-label="Intake" {...drop}>
      <h1 className="visually-hidden">Intake</h1>
      <div className="batch-bar">
        {settingsBar}
        {takes.length === 0 ? null : (
          <>
            <TakeFilter
              filter={desk.filter}
              onChange={(filter) => changeTakeDesk(session.id, { filter })}
              listed={rows.length}
              all={takes.length}
              input={filterInput}
            />
            <Button
              isDisabled={unplaced.length === 0}
              aria-keyshortcuts={ariaKeysOf('placeAll')}
              onPress={placeAll}
            >
              Place all as guessed
            </Button>
          </>
        )}
      </div>
      <BatchReportPanel sessionId={session.id} />
      {missing.size === 0 ? null : <MissingLine states={[...missing.values()].map(({ state }) => state)} />}
      {takes.length === 0 ? (
        <EmptyState title={isImporting ? 'Importing takes' : 'No takes yet'}>
          <p>
            {isImporting
              ? 'Each take appears here as soon as it is measured.'
              : 'Import today’s takes, or drop them here: WAV, AIFF or FLAC, any sample rate. The original files are never changed.'}
          </p>
        </EmptyState>
      ) : (
        <TakeTable
          {...{ session, columns, rows }}
          selected={selected.map(({ id }) => id)}
          leadId={lead?.id ?? null}
          onSelect={select}
          sort={desk.sort}
          onAct={act}
        />
      )}
      {first === undefined ? null : (
        <TakeSheet
          {...{ contents, mics, voices }}
          takes={[first, ...others]}
          isMissing={missing.has(first.id)}
          onPlace={placeSelected}
          onRemove={remove}
          onAnalyse={analyse}
          onNewVoice={() => setAsked({ what: 'voice', for: selectedTakes })}
          onNewMic={() => setAsked({ what: 'mic', for: selectedTakes })}
        />
      )}
      {asked?.what === 'earlier' ? <EarlierTakes contents={contents} onClose={() => setAsked(null)} /> : null}
      {asked?.what === 'voice' ? (
        <NewVoiceDialog
          artistId={session.artistId}
          artistName={session.artistName}
          onClose={() => setAsked(null)}
          onMade={(id) => setMade('voice', id)}
        />
      ) : null}
      {asked?.what === 'mic' ? (
        <MicDialog mic={null} onClose={() => setAsked(null)} onMade={(id) => setMade('mic', id)} />
      ) : null}
      {asked?.what === 'place' ? (
        <PlaceDialog
          session={session}
          wishes={asked.wishes}
          onClose={() => setAsked(null)}
          isStartFree={!hasStampedLayer(contents)}
          onPlace={(placings, startOfDayS) => {
            setAsked(null)
            void placeTakes(contents, placings, startOfDayS)
          }}
        />
      ) : null}
    </section>
  )
}

/** Says that files are missing, and leads to where they are found again. */
const MissingLine = ({ states }: { states: readonly TakeAbsence[] }) => (
  <div className="missing-takes" role="status">
    <span>{missingTakesLine(states)}</span>
    <Button look="plain" onPress={() => findMissingTakes()}>
      Find missing takes…
    </Button>
  </div>
)
