// A carried chain before it is accepted: the sound so far and the sound to come, what differs, and the acceptance.

import { useState } from 'react'
import type { CarryPlan } from '../../../app/contract/correction.ts'
import type { ChainVersion } from '../../../app/contract/entities.ts'
import { MAX_NOTE } from '../../../app/contract/text/limits.ts'
import { describeChanges } from '../../formats/chain/describe-changes.ts'
import { rangeOf } from '../../formats/chain/setting-fields.ts'
import { STAGE_NAMES } from '../../formats/chain/stage-words.ts'
import { formatFrequency, formatNumber, withUnit } from '../../formats/format.ts'
import { Button } from '../../parts/button.tsx'
import { NumberField } from '../../parts/fields/number-field.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { client } from '../../state/connection.ts'
import { attempt, remark } from '../../state/notices.ts'
import { BandTable } from './band-table.tsx'
import { CurvePlot, LookSign } from './curve-plot.tsx'
import { changeCarry, useMicsDesk } from './mics-desk.ts'

const LOOKS = {
  old: { colour: 'var(--ink)', dash: '6 4', width: 1.75 },
  new: { colour: 'var(--accent)', dash: '', width: 2.75 },
  difference: { colour: 'var(--failure)', dash: '', width: 2 },
} as const

export interface CarriedProps {
  readonly plan: CarryPlan
  readonly version: ChainVersion
  readonly fromName: string
  readonly toName: string
}

const dB = (value: number): string => withUnit(formatNumber(value, 2), 'dB')

/** The difference in a sentence, with where it was counted. */
const statementOf = (plan: CarryPlan): string =>
  `${dB(plan.rmsDb)} RMS, at most ${dB(plan.maxDb)} at ${formatFrequency(Number(plan.maxAtHz.toPrecision(3)))}, from ${formatFrequency(Math.round(plan.fromHz))} to ${formatFrequency(Math.round(plan.toHz))}`

export function Carried({ plan, version, fromName, toName }: CarriedProps) {
  const { carry } = useMicsDesk()
  const range = { fromHz: plan.fromHz, toHz: plan.toHz }
  return (
    <div className="mic-view-split">
      <div className="mic-view-graph">
        <CurvePlot
          className="curve-plot-carry"
          mostDb={20}
          range={range}
          label={`Mic, correction, low-cut and tone together: through ${fromName} and through ${toName}`}
          series={[
            { key: 'old', name: fromName, points: plan.oldTotal, look: LOOKS.old },
            { key: 'new', name: toName, points: plan.newTotal, look: LOOKS.new },
          ]}
        />
        <CurvePlot
          className="curve-plot-low"
          leastDb={3}
          mostDb={6}
          range={range}
          label="What differs: new less old"
          series={[
            { key: 'difference', name: 'new less old', points: plan.difference, look: LOOKS.difference },
          ]}
        />
        <ul className="curve-key curve-key-row">
          <li>
            <LookSign look={LOOKS.old} /> {fromName}, so far
          </li>
          <li>
            <LookSign look={LOOKS.new} /> {toName}, carried
          </li>
          <li>
            <LookSign look={LOOKS.difference} /> new less old
          </li>
        </ul>
        <div className="carry-bands">
          <BandTable bands={plan.oldBands} caption={`Bands for ${fromName}`} />
          <BandTable bands={plan.newBands} caption={`Bands for ${toName}`} />
        </div>
      </div>
      <div className="mic-view-side">
        <div className="carry-statement" role="status">
          <h2>{dB(plan.rmsDb)} RMS apart</h2>
          <p>
            At most {dB(plan.maxDb)}, at {formatFrequency(Number(plan.maxAtHz.toPrecision(3)))}. Counted from{' '}
            {formatFrequency(Math.round(plan.fromHz))} to {formatFrequency(Math.round(plan.toHz))}, at equal
            level from 300 to 3000 Hz.
          </p>
          {plan.remarks.map((sentence) => (
            <p key={sentence} className="soft">
              {sentence}
            </p>
          ))}
        </div>
        <fieldset className="mic-fields" aria-label="How it is carried">
          <Select
            className="mic-field-wide"
            label="The correction aims at"
            items={[
              { key: 'as it is' as const, name: 'what the chain aims at', detail: 'Only the bands change' },
              {
                key: 'the sound so far' as const,
                name: `${fromName} as it sounded`,
                detail: 'A new version with that aim',
              },
            ]}
            value={plan.aim}
            onChange={(aim) => changeCarry({ aim })}
          />
          <NumberField
            label="Boost at most"
            value={plan.limits.maxBoostDb}
            unit="dB"
            {...rangeOf('mic-correction', 'maxBoostDb')}
            step={0.5}
            onChange={(maxBoostDb) => changeCarry({ maxBoostDb })}
          />
          <NumberField
            label="Cut at most"
            value={plan.limits.maxCutDb}
            unit="dB"
            {...rangeOf('mic-correction', 'maxCutDb')}
            step={0.5}
            onChange={(maxCutDb) => changeCarry({ maxCutDb })}
          />
          {carry.aim === null && carry.maxBoostDb === null && carry.maxCutDb === null ? null : (
            <Button look="plain" onPress={() => changeCarry({ aim: null, maxBoostDb: null, maxCutDb: null })}>
              As proposed
            </Button>
          )}
        </fieldset>
        {plan.changesChain ? (
          <AcceptCarry
            key={`${version.id} ${toName}`}
            plan={plan}
            version={version}
            fromName={fromName}
            toName={toName}
          />
        ) : (
          <div className="carry-kept">
            <h3>Nothing to save</h3>
            <p>
              {version.chainName} stays as it is, version {version.number}. Give the takes {toName} in Intake,
              and these bands replace the old ones by themselves.
            </p>
          </div>
        )}
        <p className="soft mic-statement">
          Unchanged: {unchangedStages(plan)}. Off-axis sound, proximity and how much the mics hiss are not in
          the curves.
        </p>
      </div>
    </div>
  )
}

const unchangedStages = (plan: CarryPlan): string =>
  plan.stages
    .filter(({ kind }) => kind !== 'mic-correction')
    .map(({ kind }) => STAGE_NAMES[kind].toLowerCase())
    .join(', ') || 'no other stage'

function AcceptCarry({ plan, version, fromName, toName }: CarriedProps) {
  const [note, setNote] = useState<string | null>(null)
  const [isBusy, setBusy] = useState(false)
  // Until it is typed over, the note says what the picture says.
  const proposed = `Carried from ${fromName} to ${toName}: ${statementOf(plan)}.`
  const save = async (): Promise<void> => {
    setBusy(true)
    const saved = await attempt('The carried chain was not saved', () =>
      client.saveChain({
        voiceId: version.voiceId,
        chainId: version.chainId,
        name: version.chainName,
        stages: plan.stages,
        note: note ?? proposed,
      }),
    )
    setBusy(false)
    if (saved === undefined) return
    remark(
      `${saved.chainName} is saved as version ${saved.number}`,
      `Version ${version.number} stays. Choose the new one in Chain where it is to be used.`,
    )
    changeCarry({ versionId: version.id })
  }
  return (
    <div className="carry-accept">
      <ul className="chain-changes">
        {describeChanges(version.stages, plan.stages).map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
      <TextField label="Note" value={note ?? proposed} onChange={setNote} isMultiline maxLength={MAX_NOTE} />
      <Button look="main" isDisabled={isBusy} onPress={() => void save()}>
        Save as a new version
      </Button>
    </div>
  )
}
