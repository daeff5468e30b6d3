// Below the table: voice, mic, curve and place in the stack of the selected takes, one or many; and, when it
// is unfolded, waveform and findings of one.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { Mic, Role, SessionContents, Take, Voice } from '../../../app/contract/entities.ts'
import { formatBars, hasTempo, timeBaseOf } from '../../../app/words/bars/bar-words.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { changeTakes, withOnlyCurve } from '../../acts/take-acts.ts'
import { GROUP_NAMES, guessGroup, guessRole } from '../../formats/role-guess.ts'
import { ROLE_ITEMS } from '../../formats/roles.ts'
import { formatStampDistance, formatTimeStamp, stampedPlace, timeStampS } from '../../formats/time-stamp.ts'
import { TakeFindings } from '../../panels/voice/take-findings.tsx'
import { Button } from '../../parts/button.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { OpenSign } from '../../parts/signs.tsx'
import { findMissingTakes } from '../../state/missing-takes.ts'
import { curvesQuery } from '../../state/queries.ts'
import { toggleTakeDetails, useTakeDetails } from '../../state/take-desk.ts'
import { focusOnReturn } from '../../state/voice-desk.ts'

/** What the takes are placed as; null where each name decides. */
export interface PlaceChoice {
  readonly role: Role | null
  readonly groupId: number | null
}

export interface TakeSheetProps {
  readonly contents: SessionContents
  /** The selected takes; the first is the one whose details are shown. */
  readonly takes: readonly [Take, ...Take[]]
  readonly mics: readonly Mic[]
  readonly voices: readonly Voice[]
  /** Whether the file of the first one is missing. */
  readonly isMissing: boolean
  readonly onPlace: (choice: PlaceChoice) => void
  readonly onRemove: () => void
  readonly onAnalyse: () => void
  readonly onNewVoice: () => void
  readonly onNewMic: () => void
}

/** The value that all takes have in common; undefined where they differ. */
const common = <T,>(takes: readonly Take[], of: (take: Take) => T): T | undefined =>
  takes.every((take) => of(take) === of(takes[0])) ? of(takes[0]) : undefined

const NO_CHOICE: PlaceChoice = { role: null, groupId: null }

/** Stands for the group that is created for a role. */
const NEW_GROUP = -1

export function TakeSheet(props: TakeSheetProps) {
  const { contents, takes, mics, voices, isMissing, onPlace, onRemove, onAnalyse, onNewVoice, onNewMic } =
    props
  const { groups, layers, session } = contents
  const [take] = takes
  const isOne = takes.length === 1
  const areDetailsOpen = useTakeDetails()
  // A choice holds for the takes it was made for. The sheet stays mounted, because its fields are slow to build.
  const chosenFor = takes.map(({ id }) => id).join()
  const [made, setMade] = useState({ ...NO_CHOICE, chosenFor })
  const choice = made.chosenFor === chosenFor ? made : NO_CHOICE
  const setChoice = (next: PlaceChoice): void => setMade({ ...next, chosenFor })
  const role = choice.role ?? (isOne ? guessRole(take.name) : null)
  const guessedGroup = role === null ? null : guessGroup(role, groups, layers)
  const [voiceId, micId, curveId] = [
    common(takes, (one) => one.voiceId),
    common(takes, (one) => one.micId),
    common(takes, (one) => one.curveId),
  ]
  const allCurves = useQuery(curvesQuery).data ?? []
  const curves = allCurves.filter((curve) => curve.micId !== null && curve.micId === micId)

  return (
    <section
      className="take-sheet"
      aria-label={isOne ? `Take ${take.name}` : `${takes.length} takes selected`}
    >
      <div className="take-sheet-head">
        <h2 className="take-sheet-name" title={take.name}>
          {isOne ? take.name : `${countOf(takes.length, 'take')} selected`}
        </h2>
        {isOne ? <StampWords take={take} session={session} /> : null}
        {isOne && isMissing ? <Button onPress={() => findMissingTakes(take.id)}>Find file…</Button> : null}
        <Button look="plain" onPress={onRemove}>
          Remove from session
        </Button>
        <Button ref={(button) => focusOnReturn('intake', button)} onPress={onAnalyse}>
          Analyse voice
        </Button>
        <Button
          aria-expanded={areDetailsOpen}
          className="take-sheet-fold"
          onPress={() => toggleTakeDetails()}
        >
          Details <OpenSign />
        </Button>
      </div>
      <div className="take-sheet-fields">
        <Select
          label="Voice"
          placeholder={voiceId === undefined ? 'Several' : 'Another artist’s voice'}
          items={voices.map(({ id, name }) => ({ key: id, name }))}
          none="Not set"
          isMixed={voiceId === undefined}
          value={voiceId ?? null}
          onChange={(id) => void changeTakes(takes, { voiceId: id }, 'voice')}
          create={{ name: 'New voice…', onCreate: onNewVoice }}
        />
        <Select
          label="Mic"
          placeholder="Several"
          items={mics.map(({ id, name }) => ({ key: id, name }))}
          none="Not set"
          isMixed={micId === undefined}
          value={micId ?? null}
          onChange={(id) => void changeTakes(takes, withOnlyCurve(id, allCurves), 'mic')}
          create={{ name: 'New mic…', onCreate: onNewMic }}
        />
        <Select
          label="Curve"
          placeholder="Several"
          items={curves.map(({ id, name, source }) => ({ key: id, name, detail: source }))}
          none="No curve"
          isMixed={curveId === undefined || micId === undefined}
          value={curveId ?? null}
          onChange={(id) => void changeTakes(takes, { curveId: id }, 'curve')}
          isDisabled={micId === null || micId === undefined}
        />
        <Select
          label="Place as"
          placeholder="Choose a role"
          items={ROLE_ITEMS}
          {...(isOne ? {} : { none: 'As named' })}
          value={role}
          onChange={(key) => setChoice({ role: key, groupId: null })}
        />
        <Select
          label="In group"
          placeholder={role === null ? 'By role' : ''}
          items={[
            ...groups.map(({ id, name }) => ({ key: id, name })),
            ...(role !== null && guessedGroup === null
              ? [{ key: NEW_GROUP, name: `New: ${GROUP_NAMES[role]}` }]
              : []),
          ]}
          value={choice.groupId ?? guessedGroup ?? (role === null ? null : NEW_GROUP)}
          onChange={(id) => setChoice({ role, groupId: id === NEW_GROUP ? null : id })}
          isDisabled={role === null}
        />
        <Button
          look="main"
          className="take-sheet-place"
          onPress={() => onPlace({ role, groupId: choice.groupId })}
        >
          {isOne ? 'Place in stack' : `Place ${takes.length}`}
        </Button>
      </div>
      {areDetailsOpen ? (
        <div className="take-sheet-details">
          <TakeFindings key={take.id} take={take} sessionRateHz={session.sampleRateHz} />
        </div>
      ) : null}
    </section>
  )
}

/** Time stamp of a take, and where that is in the song. */
function StampWords({ take, session }: { take: Take; session: SessionContents['session'] }) {
  const stampS = timeStampS(take)
  const place = stampedPlace(take, session)
  const base = timeBaseOf(session)
  if (stampS === null || place === null) return null
  return (
    <span className="take-sheet-stamp soft">
      Time stamp <span className="number">{formatTimeStamp(stampS)}</span>
      {place.isInSong && hasTempo(base) ? (
        <>
          , bar <span className="number">{formatBars(place.offsetSamples, base)}</span>
        </>
      ) : (
        `, ${formatStampDistance(place.offsetSamples, session)}`
      )}
    </span>
  )
}
