// The proximity shelf: a low shelf that is not part of the fit, off by default.

import { useState } from 'react'
import { STARTING_PROXIMITY } from '../../../app/contract/chain-document.ts'
import type { CurveRecord } from '../../../app/contract/entities.ts'
import { PROXIMITY_BOUNDS } from '../../formats/bounds.ts'
import { Button } from '../../parts/button.tsx'
import { Checkbox } from '../../parts/fields/checkbox.tsx'
import { FrequencyField } from '../../parts/fields/frequency-field.tsx'
import { NumberField } from '../../parts/fields/number-field.tsx'
import { client } from '../../state/connection.ts'
import { attempt } from '../../state/notices.ts'
import { changeCorrection, useMicsState } from './curves/mics-state.ts'

/** Proximity shelf of the correction, set by ear or proposed from pattern and distances. */
export function ProximityFields({ source }: { source: CurveRecord }) {
  const { proximity, voiceDistanceM } = useMicsState().correction
  const [evidence, setEvidence] = useState('')
  const propose = async (): Promise<void> => {
    const curveDistanceM = source.distanceM
    if (curveDistanceM === null) {
      setEvidence(
        'The distance of this curve is unknown. Enter it under Edit curve, or set the shelf by ear.',
      )
      return
    }
    const proposal = await attempt('Could not propose a proximity shelf', () =>
      client.proposeProximity({ pattern: source.pattern, curveDistanceM, voiceDistanceM }),
    )
    if (proposal === undefined) return
    setEvidence(proposal.evidence)
    changeCorrection({ proximity: proposal.shelf })
  }
  return (
    <fieldset className="mic-fields" aria-label="Proximity shelf">
      <div className="mic-field-wide">
        <Checkbox
          isSelected={proximity !== null}
          onChange={(isOn) => {
            setEvidence('')
            changeCorrection({ proximity: isOn ? STARTING_PROXIMITY : null })
          }}
        >
          Proximity shelf
        </Checkbox>
      </div>
      <NumberField
        label="Singer’s distance"
        value={voiceDistanceM}
        unit="m"
        min={0.01}
        max={3}
        step={0.01}
        places={2}
        onChange={(distanceM) => changeCorrection({ voiceDistanceM: distanceM })}
      />
      <Button className="mic-fields-act" onPress={() => void propose()}>
        Propose
      </Button>
      {proximity === null ? null : (
        <>
          <FrequencyField
            label="Frequency"
            value={proximity.frequencyHz}
            {...PROXIMITY_BOUNDS.frequencyHz}
            onChange={(frequencyHz) => changeCorrection({ proximity: { ...proximity, frequencyHz } })}
          />
          <NumberField
            label="Gain"
            value={proximity.gainDb}
            unit="dB"
            {...PROXIMITY_BOUNDS.gainDb}
            step={0.5}
            onChange={(gainDb) => changeCorrection({ proximity: { ...proximity, gainDb } })}
          />
        </>
      )}
      <p className="soft mic-fields-note" role="status">
        {evidence === ''
          ? 'Separate from the fit: a curve does not include the singer’s distance.'
          : evidence}
      </p>
    </fieldset>
  )
}
