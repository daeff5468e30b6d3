// Preview of a carried chain: responses through both mics, their difference, and saving it.

import { useState } from 'react'
import type { CarryPlan } from '../../../app/contract/correction.ts'
import type { ChainVersion } from '../../../app/contract/entities.ts'
import { MAX_NOTE } from '../../../app/contract/text/limits.ts'
import { STAGE_NAMES } from '../../../app/words/chain/stage-words.ts'
import { formatFrequency, formatNumber, withUnit } from '../../../app/words/format.ts'
import { describeChanges } from '../../formats/chain/describe-changes.ts'
import { rangeOf } from '../../formats/chain/setting-fields.ts'
import { versionNumber } from '../../formats/chain/version-words.ts'
import { carryDifference } from '../../formats/recall/carry-words.ts'
import { Button } from '../../parts/button.tsx'
import { NumberField } from '../../parts/fields/number-field.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { client } from '../../state/connection.ts'
import { attempt, remark } from '../../state/notices.ts'
import { BandTable } from './band-table.tsx'
import { CurvePlot, LookSign } from './curves/curve-plot.tsx'
import { changeCarry, useMicsState } from './curves/mics-state.ts'

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

/** Responses before and after, their difference, and the way to save the carried chain. */
export function Carried({ plan, version, fromName, toName }: CarriedProps) {
  const { carry } = useMicsState()
  const range = { fromHz: plan.fromHz, toHz: plan.toHz }
  return (
    <div className="mic-view-split">
      <div className="mic-view-graph">
        <CurvePlot
          className="curve-plot-carry"
          mostDb={20}
          range={range}
          label={`Combined response of mic, correction, low-cut and tone: ${fromName} and ${toName}`}
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
          label="Difference: new minus old"
          series={[
            { key: 'difference', name: 'new minus old', points: plan.difference, look: LOOKS.difference },
          ]}
        />
        <ul className="curve-key curve-key-row">
          <li>
            <LookSign look={LOOKS.old} /> {fromName}, current
          </li>
          <li>
            <LookSign look={LOOKS.new} /> {toName}, carried
          </li>
          <li>
            <LookSign look={LOOKS.difference} /> new minus old
          </li>
        </ul>
        <div className="carry-bands">
          <BandTable bands={plan.oldBands} caption={`Bands for ${fromName}`} />
          <BandTable bands={plan.newBands} caption={`Bands for ${toName}`} />
        </div>
      </div>
      <div className="mic-view-side">
        <div className="carry-statement" role="status">
          <h2>{dB(plan.rmsDb)} RMS difference</h2>
          <p>
            Max {dB(plan.maxDb)} at {formatFrequency(Number(plan.maxAtHz.toPrecision(3)))}. Measured from{' '}
            {formatFrequency(Math.round(plan.fromHz))} to {formatFrequency(Math.round(plan.toHz))}, with
            levels matched from 300 to 3000 Hz.
          </p>
          {plan.remarks.map((sentence) => (
            <p key={sentence} className="soft">
              {sentence}
            </p>
          ))}
        </div>
        <fieldset className="mic-fields" aria-label="Carry settings">
          <Select
            className="mic-field-wide"
            label="Correction target"
            items={[
              { key: 'as it is' as const, name: 'Chain target', detail: 'Only the bands change' },
              {
                key: 'the sound so far' as const,
                name: `Current sound of ${fromName}`,
                detail: 'New version with this target',
              },
            ]}
            value={plan.aim}
            onChange={(aim) => changeCarry({ aim })}
          />
          <NumberField
            label="Max boost"
            value={plan.limits.maxBoostDb}
            unit="dB"
            {...rangeOf('mic-correction', 'maxBoostDb')}
            step={0.5}
            onChange={(maxBoostDb) => changeCarry({ maxBoostDb })}
          />
          <NumberField
            label="Max cut"
            value={plan.limits.maxCutDb}
            unit="dB"
            {...rangeOf('mic-correction', 'maxCutDb')}
            step={0.5}
            onChange={(maxCutDb) => changeCarry({ maxCutDb })}
          />
          {carry.aim === null && carry.maxBoostDb === null && carry.maxCutDb === null ? null : (
            <Button look="plain" onPress={() => changeCarry({ aim: null, maxBoostDb: null, maxCutDb: null })}>
              Reset
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
              {version.chainName}, version {versionNumber(version)}, needs no change. Assign {toName} to the
              takes in Intake; the new bands then apply automatically.
            </p>
          </div>
        )}
        <p className="soft mic-statement">
          Unchanged: {unchangedStages(plan)}. The curves do not include off-axis sound, proximity effect or
          self-noise.
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
  // The default note states the difference.
  const proposed = `Carried from ${fromName} to ${toName}: ${carryDifference(plan)}.`
  const save = async (): Promise<void> => {
    setBusy(true)
    const saved = await attempt('Could not save the carried chain', () =>
      client.saveChain({
        voiceId: version.voiceId,
        chainId: version.chainId,
        editedId: version.id,
        name: version.chainName,
        stages: plan.stages,
        note: note ?? proposed,
      }),
    )
    setBusy(false)
    if (saved === undefined) return
    remark(
      `Saved ${saved.chainName} as version ${versionNumber(saved)}`,
      `Version ${versionNumber(version)} is kept. Select the new version in Chain to use it.`,
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
        Save as new version
      </Button>
    </div>
  )
}
