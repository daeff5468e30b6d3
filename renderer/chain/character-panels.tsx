// Panels of de-ess (what it takes over how sibilant the moment is) and drive (its curve).

import { formatFrequency, formatNumber, withUnit } from '../parts/format.ts'
import { Select } from '../parts/select.tsx'
import { editStage } from './chain-draft.ts'
import { evenAxis, Plot, PlotCurve } from './plot.tsx'
import { PlotLine } from './plot-handles.tsx'
import { rangeOf, withSettings } from './setting-fields.ts'
import { SettingFields } from './setting-fields-panel.tsx'
import { tenthWithin } from './settings-in-place.ts'
import type { PanelProps } from './stage-panel.tsx'
import { BAND_NAMES } from './stage-words.ts'
import { deEssReductionDb, driveOutput } from './static-curves.ts'

const evenly = (from: number, to: number, steps: number): number[] =>
  Array.from({ length: steps + 1 }, (_, i) => from + (i / steps) * (to - from))

const RATIOS_DB = evenly(-30, 30, 240)
const dB = (value: number): string => withUnit(formatNumber(value, 1), 'dB')

export function DeEssPanel({ row, plotPx }: PanelProps<'de-ess'>) {
  const { settings } = row.stage
  const { thresholdDb, rangeDb, shape, frequencyHz } = settings
  const setThreshold = (value: number): void =>
    editStage(row, 'threshold', (now) =>
      withSettings(now, { thresholdDb: tenthWithin('de-ess', 'thresholdDb', value) }),
    )
  const setRange = (value: number): void =>
    editStage(row, 'range', (now) => withSettings(now, { rangeDb: tenthWithin('de-ess', 'rangeDb', value) }))
  return (
    <>
      <div className="stage-graph">
        <Plot
          label="What is taken off over how much sibilance outweighs the voice"
          x={evenAxis('sibilance over voice, dB', -30, 30, 10, true)}
          y={evenAxis('dB taken off', -18, 0, 3)}
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
                min={-18}
                max={0}
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
        <p className="stage-note">
          Weighs 4.5 to 10.5 kHz against 0.2 to 4 kHz, so it acts alike on loud and quiet takes. It takes{' '}
          {shape === 'bell'
            ? `a bell at ${formatFrequency(frequencyHz)}`
            : `everything from ${formatFrequency(frequencyHz)} up`}{' '}
          down while the threshold is passed.
        </p>
      </div>
      <div className="stage-fields">
        <Select
          label="Shape"
          items={(['high-shelf', 'bell'] as const).map((key) => ({ key, name: BAND_NAMES[key] }))}
          value={shape}
          onChange={(next) => {
            if (next !== null) editStage(row, 'shape', (now) => withSettings(now, { shape: next }))
          }}
        />
        <SettingFields row={row} />
      </div>
    </>
  )
}

const SAMPLES = evenly(-1, 1, 240)
const SAMPLE_AXIS_STEP = 0.5

export function DrivePanel({ row, plotPx }: PanelProps<'drive'>) {
  const { settings } = row.stage
  const { referenceDbfs } = settings
  const setReference = (sample: number): void => {
    const levelDbfs = 20 * Math.log10(Math.max(0.004, sample))
    editStage(row, 'reference', (now) =>
      withSettings(now, { referenceDbfs: tenthWithin('drive', 'referenceDbfs', levelDbfs) }),
    )
  }
  return (
    <>
      <div className="stage-graph">
        <Plot
          label="Sample out over sample in"
          x={evenAxis('sample in', -1, 1, SAMPLE_AXIS_STEP, true)}
          y={evenAxis('sample out', -1, 1, SAMPLE_AXIS_STEP, true)}
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
                editStage(row, 'reference', (now) =>
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
        <p className="stage-note">
          Reference is the level that counts as loud here. At 0 dB of amount it is hardly bent; at 12 dB it
          reaches the knee. Output is after the curve.
        </p>
      </div>
      <div className="stage-fields">
        <SettingFields row={row} />
      </div>
    </>
  )
}
