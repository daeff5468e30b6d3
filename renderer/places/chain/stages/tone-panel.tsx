// Tone: bells and shelves as points on the response, and as rows of fields.

import { useState } from 'react'
import type { Band } from '../../../../app/contract/chain-document.ts'
import { MAX_BANDS } from '../../../../app/contract/text/limits.ts'
import { BAND_BOUNDS } from '../../../formats/bounds.ts'
import { withSettings } from '../../../formats/chain/setting-fields.ts'
import { snappedFrequency, steppedFrequency, within } from '../../../formats/chain/settings-in-place.ts'
import { BAND_NAMES } from '../../../formats/chain/stage-words.ts'
import { formatFrequency, formatGain, formatNumber } from '../../../formats/format.ts'
import { Button } from '../../../parts/button.tsx'
import { FrequencyField } from '../../../parts/fields/frequency-field.tsx'
import { NumberField } from '../../../parts/fields/number-field.tsx'
import { Select } from '../../../parts/fields/select.tsx'
import { evenAxis, FREQUENCY_AXIS } from '../../../parts/plot/axis.ts'
import { Plot } from '../../../parts/plot/plot.tsx'
import { PlotCurve } from '../../../parts/plot/plot-curves.tsx'
import { PlotPoint } from '../../../parts/plot/plot-handles.tsx'
import { CloseSign } from '../../../parts/signs.tsx'
import { editStage } from '../../../state/chain/chain-draft.ts'
import type { PanelProps } from './panel-props.ts'
import { RESPONSE_FREQUENCIES_HZ, useResponse } from './use-response.ts'

/** Q of a new band, about 1.4 octaves wide. Common practice. */
const FRESH_Q = 1

const SHAPE_ITEMS = (['low-shelf', 'bell', 'high-shelf'] as const).map((key) => ({
  key,
  name: BAND_NAMES[key],
}))

const tenth = (value: number): number => Math.round(value * 10) / 10

export function TonePanel({ owner, row, takeId, sampleRateHz, plotPx }: PanelProps<'tone'>) {
  const { stage } = row
  const { bands } = stage.settings
  const [chosen, setChosen] = useState(0)
  const alone = (some: readonly Band[]) => ({ ...stage, on: true, settings: { bands: [...some] } })
  const responses =
    useResponse(takeId, [alone(bands), ...bands.map((band) => alone([band]))], sampleRateHz).data?.stages ??
    []

  const setBands = (what: string, change: (now: readonly Band[]) => Band[]): void =>
    editStage(owner, row, what, (now) => withSettings(now, { bands: change(now.settings.bands) }))
  const setBand = (index: number, what: string, changes: Partial<Band>): void =>
    setBands(`band ${index + 1} ${what}`, (now) =>
      now.map((band, i) => (i === index ? { ...band, ...changes } : band)),
    )
  const add = (frequencyHz: number, gainDb: number): void => {
    if (bands.length >= MAX_BANDS) return
    setChosen(bands.length)
    setBands('new band', (now) => [
      ...now,
      {
        shape: 'bell',
        frequencyHz: snappedFrequency(frequencyHz, false, BAND_BOUNDS.frequencyHz),
        gainDb: tenth(within(gainDb, BAND_BOUNDS.gainDb)),
        q: FRESH_Q,
      },
    ])
  }

  const isTall = bands.some(({ gainDb }) => Math.abs(gainDb) > 12)
  return (
    <>
      <Plot
        label="Response of the tone bands"
        x={FREQUENCY_AXIS}
        y={isTall ? evenAxis('dB', -18, 18, 6, true) : evenAxis('dB', -12, 12, 3, true)}
        heightPx={plotPx}
        onDoubleClick={add}
        handles={bands.map((band, index) => (
          <PlotPoint
            // biome-ignore lint/suspicious/noArrayIndexKey: a band is its place in the list
            key={index}
            x={band.frequencyHz}
            y={band.gainDb}
            mark={String(index + 1)}
            label={`Band ${index + 1}: left and right set the frequency, up and down the gain`}
            valueText={`${BAND_NAMES[band.shape]}, ${formatFrequency(band.frequencyHz)}, ${formatGain(band.gainDb)}, Q ${formatNumber(band.q, 2)}`}
            isSelected={index === chosen}
            onSelect={() => setChosen(index)}
            onMove={(x, y, isFine) =>
              setBand(index, 'point', {
                frequencyHz: snappedFrequency(x, isFine, BAND_BOUNDS.frequencyHz),
                gainDb: tenth(within(y, BAND_BOUNDS.gainDb)),
              })
            }
            onStep={(x, y) =>
              setBand(index, 'point', {
                frequencyHz:
                  x === 0 ? band.frequencyHz : steppedFrequency(band.frequencyHz, x, BAND_BOUNDS.frequencyHz),
                gainDb: tenth(within(band.gainDb + y * 0.5, BAND_BOUNDS.gainDb)),
              })
            }
          />
        ))}
      >
        {responses.slice(1).map((response, index) =>
          response === null ? null : (
            <PlotCurve
              // biome-ignore lint/suspicious/noArrayIndexKey: a band is its place in the list
              key={index}
              xs={RESPONSE_FREQUENCIES_HZ}
              ys={response}
              className={index === chosen ? 'plot-curve-part plot-curve-chosen' : 'plot-curve-part'}
            />
          ),
        )}
        {responses[0] == null ? null : <PlotCurve xs={RESPONSE_FREQUENCIES_HZ} ys={responses[0]} />}
      </Plot>
      <div className="band-list">
        <div className="band-line band-line-head" aria-hidden="true">
          <span />
          <span>Shape</span>
          <span>Frequency</span>
          <span>Gain</span>
          <span>Q</span>
        </div>
        {bands.map((band, index) => (
          <fieldset
            // biome-ignore lint/suspicious/noArrayIndexKey: a band is its place in the list
            key={index}
            className="band-line"
            aria-label={`Band ${index + 1}`}
            data-selected={index === chosen || undefined}
            onFocus={() => setChosen(index)}
          >
            <span className="band-number">{index + 1}</span>
            <Select
              label={`Shape of band ${index + 1}`}
              isLabelHidden
              items={SHAPE_ITEMS}
              value={band.shape}
              onChange={(shape) => {
                if (shape !== null) setBand(index, 'shape', { shape })
              }}
            />
            <FrequencyField
              label={`Frequency of band ${index + 1}`}
              isLabelHidden
              value={band.frequencyHz}
              {...BAND_BOUNDS.frequencyHz}
              onChange={(frequencyHz) => setBand(index, 'frequency', { frequencyHz })}
            />
            <NumberField
              label={`Gain of band ${index + 1}`}
              isLabelHidden
              value={band.gainDb}
              unit="dB"
              step={0.5}
              {...BAND_BOUNDS.gainDb}
              format={formatGain}
              onChange={(gainDb) => setBand(index, 'gain', { gainDb })}
            />
            <NumberField
              label={`Q of band ${index + 1}`}
              isLabelHidden
              value={band.q}
              unit=""
              step={0.1}
              places={2}
              {...BAND_BOUNDS.q}
              onChange={(q) => setBand(index, 'Q', { q })}
            />
            <Button
              look="sign"
              aria-label={`Remove band ${index + 1}`}
              onPress={() => setBands(`remove band ${index + 1}`, (now) => now.filter((_, i) => i !== index))}
            >
              <CloseSign />
            </Button>
          </fieldset>
        ))}
        <div className="band-acts">
          <Button look="plain" isDisabled={bands.length >= MAX_BANDS} onPress={() => add(1000, 0)}>
            Add band
          </Button>
          <span className="soft">or double-click the curve</span>
        </div>
      </div>
    </>
  )
}
