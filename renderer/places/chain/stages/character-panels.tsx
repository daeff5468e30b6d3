// Panels of de-ess (reduction vs. sibilance level) and drive (transfer curve).

import { useState } from 'react'
import { deEssReductionDb, driveOutput } from '../../../../app/dsp/stages/static-curves.ts'
import { BAND_NAMES } from '../../../../app/words/chain/stage-words.ts'
import { formatFrequency, formatNumber, withUnit } from '../../../../app/words/format.ts'
import { stagesOf } from '../../../formats/chain/chain-rows.ts'
import { rangeOf, withSettings } from '../../../formats/chain/setting-fields.ts'
import { tenthWithin } from '../../../formats/chain/settings-in-place.ts'
import { Button } from '../../../parts/button.tsx'
import { Select } from '../../../parts/fields/select.tsx'
import { evenAxis } from '../../../parts/plot/axis.ts'
import { Plot } from '../../../parts/plot/plot.tsx'
import { PlotCurve } from '../../../parts/plot/plot-curves.tsx'
import { PlotLine } from '../../../parts/plot/plot-handles.tsx'
import { editStage, useDraftOf } from '../../../state/chain/chain-draft.ts'
import { client } from '../../../state/connection.ts'
import { attempt } from '../../../state/notices.ts'
import type { PanelProps } from './panel-props.ts'
import { SettingFields } from './setting-fields-panel.tsx'

const evenly = (from: number, to: number, steps: number): number[] =>
  Array.from({ length: steps + 1 }, (_, i) => from + (i / steps) * (to - from))

const RATIOS_DB = evenly(-30, 30, 240)
const dB = (value: number): string => withUnit(formatNumber(value, 1), 'dB')

export function DeEssPanel({ owner, row, plotPx }: PanelProps<'de-ess'>) {
  const { settings } = row.stage
  const { thresholdDb, rangeDb, shape, frequencyHz } = settings
  const setThreshold = (value: number): void =>
    editStage(owner, row, 'threshold', (now) =>
      withSettings(now, { thresholdDb: tenthWithin('de-ess', 'thresholdDb', value) }),
    )
  const setRange = (value: number): void =>
    editStage(owner, row, 'range', (now) =>
      withSettings(now, { rangeDb: tenthWithin('de-ess', 'rangeDb', value) }),
    )
  return (
    <>
      <Plot
        label="Gain reduction vs. sibilance level relative to the voice"
        x={evenAxis('sibilance re voice, dB', -30, 30, 10, true)}
        y={evenAxis('reduction, dB', -18, 0, 3)}
        heightPx={plotPx}
        handles={
          <>
            <PlotLine
              direction="vertical"
              at={thresholdDb}
              {...rangeOf('de-ess', 'thresholdDb')}
              label="Threshold"
              valueText={dB(thresholdDb)}
              labelAt={0.72}
              onMove={setThreshold}
              onStep={(steps) => setThreshold(thresholdDb + steps * 0.5)}
            />
            <PlotLine
              direction="horizontal"
              at={-rangeDb}
              min={-rangeOf('de-ess', 'rangeDb').max}
              max={-rangeOf('de-ess', 'rangeDb').min}
              label="Range"
              valueText={dB(rangeDb)}
              labelAt={0.12}
              onMove={(value) => setRange(-value)}
              onStep={(steps) => setRange(rangeDb - steps * 0.5)}
            />
          </>
        }
      >
        <PlotCurve xs={RATIOS_DB} ys={RATIOS_DB.map((ratio) => -deEssReductionDb(ratio, settings))} />
      </Plot>
      <div className="stage-fields">
        <Select
          label="Shape"
          items={(['high-shelf', 'bell'] as const).map((key) => ({ key, name: BAND_NAMES[key] }))}
          value={shape}
          onChange={(next) => {
            if (next !== null) editStage(owner, row, 'shape', (now) => withSettings(now, { shape: next }))
          }}
        />
        <SettingFields owner={owner} row={row} />
        <p className="stage-note">
          Compares the level from 4.5 to 10.5 kHz with the level from 0.2 to 4 kHz, so the take’s overall
          level does not matter. Above the threshold it reduces{' '}
          {shape === 'bell'
            ? `a bell at ${formatFrequency(frequencyHz)}.`
            : `everything above ${formatFrequency(frequencyHz)}.`}
        </p>
      </div>
    </>
  )
}

const SAMPLES = evenly(-1, 1, 240)
const SAMPLE_AXIS_STEP = 0.5

/** Loud syllables are about this much above the level of a take's active parts. Common practice. */
const LOUD_ABOVE_LEVEL_DB = 3

export function DrivePanel({ owner, row, plotPx, takeId, measured }: PanelProps<'drive'>) {
  const { settings } = row.stage
  const { referenceDbfs } = settings
  const [isMatching, setMatching] = useState(false)
  const rows = useDraftOf(owner)?.rows ?? []
  const levelDbfs = measured?.before.levelDbfs ?? null

  /** Sets the output gain so that drive does not change the loudness of this take. */
  const matchLoudness = async (): Promise<void> => {
    if (takeId === null) return
    setMatching(true)
    const matched = await attempt('Loudness was not matched', () =>
      client.matchDrive({
        takeId,
        stages: stagesOf(rows),
        stageIndex: rows.findIndex(({ key }) => key === row.key),
      }),
    )
    setMatching(false)
    if (matched === undefined) return
    editStage(owner, row, 'output matched', (now) =>
      withSettings(now, { outputDb: tenthWithin('drive', 'outputDb', matched.outputDb) }),
    )
  }
  const measureReference = (): void => {
    if (levelDbfs === null) return
    editStage(owner, row, 'reference measured', (now) =>
      withSettings(now, {
        referenceDbfs: tenthWithin('drive', 'referenceDbfs', levelDbfs + LOUD_ABOVE_LEVEL_DB),
      }),
    )
  }
  const setReference = (sample: number): void => {
    const levelDbfs = 20 * Math.log10(Math.max(0.004, sample))
    editStage(owner, row, 'reference', (now) =>
      withSettings(now, { referenceDbfs: tenthWithin('drive', 'referenceDbfs', levelDbfs) }),
    )
  }
  return (
    <>
      <Plot
        label="Output sample vs. input sample"
        x={evenAxis('input sample', -1, 1, SAMPLE_AXIS_STEP, true)}
        y={evenAxis('output sample', -1, 1, SAMPLE_AXIS_STEP, true)}
        heightPx={plotPx}
        handles={
          <PlotLine
            direction="vertical"
            at={10 ** (referenceDbfs / 20)}
            min={0}
            max={1}
            label="Reference"
            valueText={withUnit(formatNumber(referenceDbfs, 1), 'dBFS')}
            labelAt={0.72}
            onMove={setReference}
            onStep={(steps) =>
              editStage(owner, row, 'reference', (now) =>
                withSettings(now, {
                  referenceDbfs: tenthWithin('drive', 'referenceDbfs', referenceDbfs + steps),
                }),
              )
            }
          />
        }
      >
        <PlotCurve xs={[-1, 1]} ys={[-1, 1]} className="plot-curve-unity" />
        <PlotCurve xs={SAMPLES} ys={SAMPLES.map((sample) => driveOutput(sample, settings))} />
      </Plot>
      <div className="stage-fields">
        <SettingFields owner={owner} row={row} />
        <Button
          className="stage-field-act"
          isDisabled={takeId === null || isMatching}
          onPress={() => void matchLoudness()}
        >
          {isMatching ? 'Matching' : 'Match loudness'}
        </Button>
        <p className="stage-note">
          The reference is the level of loud syllables.{' '}
          <Button look="plain" isDisabled={levelDbfs === null} onPress={measureReference}>
            Measure reference
          </Button>{' '}
          sets it {withUnit(String(LOUD_ABOVE_LEVEL_DB), 'dB')} above the take’s level at the input of this
          stage. With an amount of 12 dB, a signal at the reference level reaches the knee.
        </p>
      </div>
    </>
  )
}
