// Panels of the stages that are plotted as a frequency response: low-cut and mic correction.

import { useQuery } from '@tanstack/react-query'
import { STARTING_PROXIMITY } from '../../../../app/contract/chain-document.ts'
import type { OutputOf } from '../../../../app/contract/wire/commands.ts'
import { formatFrequency, formatNumber, withUnit } from '../../../../app/words/format.ts'
import { PROXIMITY_BOUNDS } from '../../../formats/bounds.ts'
import { rangeOf, withSettings } from '../../../formats/chain/setting-fields.ts'
import { snappedFrequency, steppedFrequency } from '../../../formats/chain/settings-in-place.ts'
import { Checkbox } from '../../../parts/fields/checkbox.tsx'
import { FrequencyField } from '../../../parts/fields/frequency-field.tsx'
import { NumberField } from '../../../parts/fields/number-field.tsx'
import { Select } from '../../../parts/fields/select.tsx'
import { evenAxis, FREQUENCY_AXIS } from '../../../parts/plot/axis.ts'
import { Plot } from '../../../parts/plot/plot.tsx'
import { PlotCurve } from '../../../parts/plot/plot-curves.tsx'
import { PlotPoint } from '../../../parts/plot/plot-handles.tsx'
import { editStage } from '../../../state/chain/chain-draft.ts'
import { curvesQuery, micsQuery } from '../../../state/queries.ts'
import type { PanelProps } from './panel-props.ts'
import { SettingFields } from './setting-fields-panel.tsx'
import { RESPONSE_FREQUENCIES_HZ, useResponse } from './use-response.ts'

/** Gain of a Butterworth filter at its cut-off frequency. */
const CUT_POINT_DB = -3.01

/** Height of the line of text under the plot. */
const NOTE_PX = 24

export function LowCutPanel({ owner, row, takeId, sampleRateHz, plotPx }: PanelProps<'low-cut'>) {
  const { stage } = row
  const { frequencyHz, slopeDbPerOctave } = stage.settings
  const response = useResponse(takeId, [{ ...stage, on: true }], sampleRateHz).data?.stages[0]
  const range = rangeOf('low-cut', 'frequencyHz')
  const set = (next: number): void =>
    editStage(owner, row, 'frequency', (now) => withSettings(now, { frequencyHz: next }))
  return (
    <>
      <Plot
        label="Response of the low-cut"
        x={FREQUENCY_AXIS}
        y={evenAxis('dB', -30, 6, 6, true)}
        heightPx={plotPx}
        handles={
          <PlotPoint
            x={Math.max(20, frequencyHz)}
            y={CUT_POINT_DB}
            label="Low-cut frequency"
            valueText={formatFrequency(frequencyHz)}
            onMove={(x, _y, isFine) => set(snappedFrequency(x, isFine, range))}
            onStep={(x) => {
              if (x !== 0) set(steppedFrequency(frequencyHz, x, range))
            }}
          />
        }
      >
        {response == null ? null : <PlotCurve xs={RESPONSE_FREQUENCIES_HZ} ys={response} />}
      </Plot>
      <div className="stage-fields">
        <SettingFields owner={owner} row={row} />
        <Select
          label="Slope"
          items={[
            { key: 12, name: withUnit('12', 'dB/oct') },
            { key: 24, name: withUnit('24', 'dB/oct') },
          ]}
          value={slopeDbPerOctave}
          onChange={(slope) => {
            if (slope === 12 || slope === 24) {
              editStage(owner, row, 'slope', (now) => withSettings(now, { slopeDbPerOctave: slope }))
            }
          }}
        />
      </div>
    </>
  )
}

export function MicCorrectionPanel({
  owner,
  row,
  takeId,
  sampleRateHz,
  plotPx,
  measured,
}: PanelProps<'mic-correction'>) {
  const { stage } = row
  const curves = useQuery(curvesQuery).data ?? []
  const mics = useQuery(micsQuery).data ?? []
  const answer = useResponse(takeId, [{ ...stage, on: true }], sampleRateHz).data
  const response = answer?.stages[0]
  const fit = answer?.fit ?? null
  const { target } = stage.settings
  const nameOfMic = (micId: number | null): string =>
    micId === null ? 'target curve' : (mics.find(({ id }) => id === micId)?.name ?? 'mic')
  const chosen =
    target === null
      ? undefined
      : curves.find((curve) => JSON.stringify(curve.points) === JSON.stringify(target.curve))
  const own =
    target !== null && chosen === undefined
      ? [{ key: 0, name: target.name, detail: 'stored in this chain' }]
      : []
  return (
    <>
      <div className="stage-graph">
        <Plot
          label="Target and fit of the correction"
          x={FREQUENCY_AXIS}
          y={evenAxis('dB', -12, 12, 3, true)}
          heightPx={plotPx - NOTE_PX}
        >
          {fit === null ? null : (
            <PlotCurve xs={fit.wanted.frequenciesHz} ys={fit.wanted.levelsDb} className="plot-curve-wanted" />
          )}
          {response == null ? null : <PlotCurve xs={RESPONSE_FREQUENCIES_HZ} ys={response} />}
        </Plot>
        <p className="stage-note">
          {sentenceOfFit(fit, measured?.stage?.remark ?? null)}
          {fit === null || stage.settings.proximity === undefined
            ? ''
            : ' The solid line includes the proximity shelf.'}
        </p>
      </div>
      <div className="stage-fields">
        <Select
          className="stage-field-wide"
          label="Target"
          none="Flat"
          items={[
            ...own,
            ...curves.map((curve) => ({ key: curve.id, name: curve.name, detail: nameOfMic(curve.micId) })),
          ]}
          value={target === null ? null : (chosen?.id ?? 0)}
          onChange={(id) => {
            if (id === 0) return
            const curve = curves.find((candidate) => candidate.id === id)
            editStage(owner, row, 'target', (now) =>
              withSettings(now, {
                target: curve === undefined ? null : { name: curve.name, curve: curve.points },
              }),
            )
          }}
        />
        <SettingFields owner={owner} row={row} />
        <ProximityFields owner={owner} row={row} />
      </div>
    </>
  )
}

/** Shelf for the singer's distance, which mic curves do not include; not part of the fit, off by default. */
function ProximityFields({ owner, row }: Pick<PanelProps<'mic-correction'>, 'owner' | 'row'>) {
  const { proximity } = row.stage.settings
  const set = (next: typeof proximity): void =>
    editStage(owner, row, 'proximity shelf', ({ settings: { proximity: _, ...settings }, ...stage }) => ({
      ...stage,
      settings: next === undefined ? settings : { ...settings, proximity: next },
    }))
  return (
    <>
      <div className="stage-field-wide">
        <Checkbox
          isSelected={proximity !== undefined}
          onChange={(isOn) => set(isOn ? STARTING_PROXIMITY : undefined)}
        >
          Proximity shelf
        </Checkbox>
      </div>
      {proximity === undefined ? null : (
        <>
          <FrequencyField
            label="Shelf frequency"
            value={proximity.frequencyHz}
            {...PROXIMITY_BOUNDS.frequencyHz}
            onChange={(frequencyHz) => set({ ...proximity, frequencyHz })}
          />
          <NumberField
            label="Shelf gain"
            value={proximity.gainDb}
            unit="dB"
            {...PROXIMITY_BOUNDS.gainDb}
            step={0.5}
            onChange={(gainDb) => set({ ...proximity, gainDb })}
          />
        </>
      )}
    </>
  )
}

function sentenceOfFit(fit: OutputOf<'chainResponse'>['fit'], remark: string | null): string {
  if (fit === null) {
    return remark ?? 'The take’s mic has no curve, so nothing is corrected. Set a mic and a curve in Intake.'
  }
  const count = fit.bands.length === 1 ? '1 band' : `${fit.bands.length} bands`
  return `Dashed: target. Solid: fit with ${count}, error ${withUnit(formatNumber(fit.rmsErrorDb, 2), 'dB')} RMS, ${withUnit(formatNumber(fit.maxErrorDb, 1), 'dB')} max.`
}
