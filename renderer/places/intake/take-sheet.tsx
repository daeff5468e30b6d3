// Details of the selected take below the table: waveform, findings, voice, mic and curve, and
// placement in the stack.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { Mic, Role, SessionContents, Take, Voice } from '../../../app/contract/entities.ts'
import { placeTake } from '../../acts/stack-acts.ts'
import { changeTake, removeTake } from '../../acts/take-acts.ts'
import { guessGroup, guessRole } from '../../formats/role-guess.ts'
import { ROLE_ITEMS } from '../../formats/roles.ts'
import { TakeFindings } from '../../panels/voice/take-findings.tsx'
import { Button } from '../../parts/button.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { curvesQuery } from '../../state/queries.ts'
import { selectTake } from '../../state/selection.ts'
import { focusOnReturn, showVoice } from '../../state/voice-desk.ts'

export interface TakeSheetProps {
  readonly contents: SessionContents
  readonly take: Take
  readonly mics: readonly Mic[]
  readonly voices: readonly Voice[]
}

export function TakeSheet({ contents, take, mics, voices }: TakeSheetProps) {
  const { groups, layers } = contents
  const [chosenRole, setRole] = useState<Role | null>(null)
  const [chosenGroup, setGroup] = useState<number | null>(null)
  const role = chosenRole ?? guessRole(take.name, layers)
  const groupId = chosenGroup ?? guessGroup(role, groups, layers)
  const curves = (useQuery(curvesQuery).data ?? []).filter(
    (curve) => curve.micId !== null && curve.micId === take.micId,
  )

  return (
    <section className="take-sheet" aria-label={`Take ${take.name}`}>
      <div className="take-sheet-main">
        <div className="take-sheet-head">
          <h2 className="take-sheet-name">{take.name}</h2>
          <Button
            ref={(button) => focusOnReturn('intake', button)}
            onPress={() => {
              selectTake(take.id)
              showVoice('intake', true)
            }}
          >
            Analyse voice
          </Button>
        </div>
        <TakeFindings take={take} sessionRateHz={contents.session.sampleRateHz} />
      </div>
      <div className="take-sheet-fields">
        <Select
          label="Voice"
          placeholder="Another artist’s voice"
          items={voices.map(({ id, name }) => ({ key: id, name }))}
          none="Not set"
          value={take.voiceId}
          onChange={(voiceId) => void changeTake(take, { voiceId }, 'voice')}
        />
        <Select
          label="Mic"
          items={mics.map(({ id, name }) => ({ key: id, name }))}
          none="Not set"
          value={take.micId}
          onChange={(micId) => void changeTake(take, { micId, curveId: null }, 'mic')}
        />
        <Select
          label="Curve"
          items={curves.map(({ id, name, source }) => ({ key: id, name, detail: source }))}
          none="No curve"
          value={take.curveId}
          onChange={(curveId) => void changeTake(take, { curveId }, 'curve')}
          isDisabled={take.micId === null}
        />
        <Select
          label="Place as"
          items={ROLE_ITEMS}
          value={role}
          onChange={(key) => {
            setRole(key)
            setGroup(null)
          }}
        />
        <Select
          label="In group"
          items={groups.map(({ id, name }) => ({ key: id, name }))}
          value={groupId}
          onChange={setGroup}
        />
        <Button
          look="main"
          className="take-sheet-place"
          isDisabled={groupId === null}
          onPress={() => {
            if (groupId !== null) void placeTake(contents, take, role, groupId)
          }}
        >
          Place in stack
        </Button>
        <Button
          look="plain"
          className="take-sheet-out"
          onPress={() => void removeTake(contents.session.id, contents.takes, take)}
        >
          Remove from session
        </Button>
      </div>
    </section>
  )
}
