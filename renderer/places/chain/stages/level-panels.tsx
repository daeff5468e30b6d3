// Panels of the stages that are plotted as output vs. input level: trim, expander, opto, ceiling.

import { expanderOutputDbfs, optoOutputDbfs } from '../../../../app/dsp/stages/static-curves.ts'
import { formatRatio } from '../../../../app/words/chain/stage-words.ts'
import { formatGain, formatNumber, withUnit } from '../../../../app/words/format.ts'
import { rangeOf, withSettings } from '../../../formats/chain/setting-fields.ts'
import { tenthWithin } from '../../../formats/chain/settings-in-place.ts'
import { Checkbox } from '../../../parts/fields/checkbox.tsx'
import { type Axis, evenAxis } from '../../../parts/plot/axis.ts'
import { Plot } from '../../../parts/plot/plot.tsx'
import { PlotCurve } from '../../../parts/plot/plot-curves.tsx'
import { PlotLine, PlotPoint, widthOf } from '../../../parts/plot/plot-handles.tsx'
import { usePlotScale } from '../../../parts/plot/plot-scale.ts'
import { editStage } from '../../../state/chain/chain-draft.ts'
import { HeardPoint } from './heard-point.tsx'
import type { PanelProps } from './panel-props.ts'
import { SettingFields } from './setting-fields-panel.tsx'

const dbfs = (value: number): string => withUnit(formatNumber(value, 1), 'dBFS')

function StaticCurve({ axis, output }: { axis: Axis; output: (inputDb: number) => number }) {
  const steps = 240
  const xs = Array.from({ length: steps + 1 }, (_, i) => axis.from + (i / steps) * (axis.to - axis.from))
  return (
    <>
      <PlotCurve xs={[axis.from, axis.to]} ys={[axis.from, axis.to]} className="plot-curve-unity" />
      <PlotCurve xs={xs} ys={xs.map(output)} />
    </>
  )
}

/** Marks the level of the take at the input of the stage. */
function InputMark(props: {
  levelDbfs: number | null | undefined
  name: string
  /** Position of a line that the label must not overlap. */
  lineAt?: number
}) {
  const { levelDbfs, name, lineAt } = props
  const { x, top, bottom, right } = usePlotScale()
  if (levelDbfs == null) return null
  const words = `${name} ${formatNumber(levelDbfs, 1)}`
  const endX = x(levelDbfs) + 5 + widthOf(words)
  const isLeft = endX > right || (lineAt !== undefined && lineAt > levelDbfs && x(lineAt) < endX)
  return (
    <g className="plot-input">
      <line x1={x(levelDbfs)} x2={x(levelDbfs)} y1={top} y2={bottom} />
      <text x={x(levelDbfs) + (isLeft ? -5 : 5)} y={bottom - 8} textAnchor={isLeft ? 'end' : 'start'}>
        {words}
      </text>
    </g>
  )
}

function ThresholdLine(props: {
  stage: 'expander' | 'opto'
  at: number
  onChange: (thresholdDbfs: number) => void
}) {
  const { stage, at, onChange } = props
  return (
    <PlotLine
      direction="vertical"
      at={at}
      {...rangeOf(stage, 'thresholdDbfs')}
      label="Threshold"
      valueText={dbfs(at)}
      labelAt={0.12}
      onMove={onChange}
      onStep={(steps) => onChange(at + steps)}
    />
  )
}

export function TrimPanel({ owner, row, plotPx, measured }: PanelProps<'trim'>) {
  const { gainDb, invertPolarity } = row.stage.settings
  const axis = evenAxis('input dBFS', -60, 0, 10)
  const set = (next: number): void =>
    editStage(owner, row, 'gain', (now) => withSettings(now, { gainDb: tenthWithin('trim', 'gainDb', next) }))
  return (
    <>
      <Plot
        label="Output level vs. input level"
        x={axis}
        y={evenAxis('output dBFS', -60, 0, 10)}
        heightPx={plotPx}
        handles={
          <PlotPoint
            x={-30}
            y={-30 + gainDb}
            label="Gain"
            valueText={formatGain(gainDb)}
            onMove={(_x, y) => set(y + 30)}
            onStep={(x, y) => set(gainDb + (x + y) * 0.5)}
          />
        }
      >
        <StaticCurve axis={axis} output={(level) => level + gainDb} />
        <InputMark levelDbfs={measured?.before.levelDbfs} name="input" />
      </Plot>
      <div className="stage-fields">
        <SettingFields owner={owner} row={row} />
        <Checkbox
          isSelected={invertPolarity}
          onChange={(isInverted) =>
            editStage(owner, row, 'polarity', (now) => withSettings(now, { invertPolarity: isInverted }))
          }
        >
          Invert polarity
        </Checkbox>
      </div>
    </>
  )
}

/** How far below the threshold the handle for the expander's ratio is. */
const RATIO_POINT_BELOW_DB = 6
const EXPANDER_AXIS = evenAxis('input dBFS', -90, 0, 10)

export function ExpanderPanel({ owner, row, index, plotPx, measured }: PanelProps<'expander'>) {
  const { settings } = row.stage
  const { thresholdDbfs, ratio, rangeDb } = settings
  const set = (what: string, changes: Partial<typeof settings>): void =>
    editStage(owner, row, what, (now) => withSettings(now, changes))
  const setThreshold = (value: number): void =>
    set('threshold', { thresholdDbfs: tenthWithin('expander', 'thresholdDbfs', value) })
  const setRatio = (value: number): void => set('ratio', { ratio: tenthWithin('expander', 'ratio', value) })
  const setRange = (value: number): void =>
    set('range', { rangeDb: tenthWithin('expander', 'rangeDb', value) })
  const ratioX = thresholdDbfs - RATIO_POINT_BELOW_DB
  const rangeX = EXPANDER_AXIS.from + 66 < thresholdDbfs ? EXPANDER_AXIS.from + 62 : thresholdDbfs - 20
  return (
    <>
      <Plot
        label="Output level vs. input level"
        x={EXPANDER_AXIS}
        y={evenAxis('output dBFS', -90, 0, 10)}
        heightPx={plotPx}
        handles={
          <>
            <ThresholdLine stage="expander" at={thresholdDbfs} onChange={setThreshold} />
            <PlotPoint
              x={rangeX}
              y={rangeX - rangeDb}
              label="Range"
              valueText={withUnit(formatNumber(rangeDb, 1), 'dB')}
              onMove={(_x, y) => setRange(rangeX - y)}
              onStep={(x, y) => setRange(rangeDb - (x + y))}
            />
            <PlotPoint
              x={ratioX}
              y={ratioX - RATIO_POINT_BELOW_DB * (ratio - 1)}
              label="Ratio"
              valueText={formatRatio(ratio)}
              onMove={(_x, y) => setRatio(1 + (ratioX - y) / RATIO_POINT_BELOW_DB)}
              onStep={(x, y) => setRatio(ratio - (x + y) * 0.1)}
            />
          </>
        }
      >
        <StaticCurve axis={EXPANDER_AXIS} output={(level) => expanderOutputDbfs(level, settings)} />
        <InputMark levelDbfs={measured?.before.levelDbfs} name="input" lineAt={thresholdDbfs} />
        <HeardPoint
          row={row}
          index={index}
          isStale={measured?.ofStage !== 'measured'}
          output={(level) => expanderOutputDbfs(level, settings)}
        />
      </Plot>
      <div className="stage-fields">
        <SettingFields owner={owner} row={row} />
      </div>
    </>
  )
}

const OPTO_AXIS = evenAxis('input dBFS', -60, 0, 10)

export function OptoPanel({ owner, row, index, plotPx, measured }: PanelProps<'opto'>) {
  const { settings } = row.stage
  const { thresholdDbfs, ratio, makeUpDb } = settings
  const setThreshold = (value: number): void =>
    editStage(owner, row, 'threshold', (now) =>
      withSettings(now, { thresholdDbfs: tenthWithin('opto', 'thresholdDbfs', value) }),
    )
  const setRatio = (value: number): void =>
    editStage(owner, row, 'ratio', (now) => withSettings(now, { ratio: tenthWithin('opto', 'ratio', value) }))
  /** The ratio that gives the output level `y` for an input of 0 dBFS. */
  const ratioAt = (y: number): number => {
    const slope = thresholdDbfs === 0 ? 0 : (makeUpDb - y) / -thresholdDbfs
    return slope >= 0.95 ? 20 : 1 / (1 - Math.max(0, slope))
  }
  return (
    <>
      <Plot
        label="Output level vs. input level"
        x={OPTO_AXIS}
        y={evenAxis('output dBFS', -60, 0, 10)}
        heightPx={plotPx}
        handles={
          <>
            <ThresholdLine stage="opto" at={thresholdDbfs} onChange={setThreshold} />
            <PlotPoint
              x={0}
              y={optoOutputDbfs(0, settings)}
              label="Ratio, set by the output level at 0 dBFS input"
              valueText={formatRatio(ratio)}
              onMove={(_x, y) => setRatio(ratioAt(y))}
              onStep={(x, y) => setRatio(ratio - (x + y) * 0.1)}
            />
          </>
        }
      >
        <StaticCurve axis={OPTO_AXIS} output={(level) => optoOutputDbfs(level, settings)} />
        <InputMark levelDbfs={measured?.before.levelDbfs} name="input" lineAt={thresholdDbfs} />
        <HeardPoint
          row={row}
          index={index}
          isStale={measured?.ofStage !== 'measured'}
          output={(level) => optoOutputDbfs(level, settings)}
          makeUpDb={makeUpDb}
        />
      </Plot>
      <div className="stage-fields">
        <SettingFields owner={owner} row={row} />
      </div>
    </>
  )
}

const CEILING_AXIS = evenAxis('input dBTP', -24, 6, 6, true)

export function CeilingPanel({ owner, row, plotPx, measured }: PanelProps<'ceiling'>) {
  const { ceilingDbtp } = row.stage.settings
  const set = (value: number): void =>
    editStage(owner, row, 'ceiling', (now) =>
      withSettings(now, { ceilingDbtp: tenthWithin('ceiling', 'ceilingDbtp', value) }),
    )
  return (
    <>
      <Plot
        label="Output peak vs. input peak"
        x={CEILING_AXIS}
        y={evenAxis('output dBTP', -24, 6, 6, true)}
        heightPx={plotPx}
        handles={
          <PlotLine
            direction="horizontal"
            at={ceilingDbtp}
            {...rangeOf('ceiling', 'ceilingDbtp')}
            label="Ceiling"
            valueText={withUnit(formatNumber(ceilingDbtp, 1), 'dBTP')}
            labelAt={0.12}
            onMove={set}
            onStep={(steps) => set(ceilingDbtp + steps * 0.1)}
          />
        }
      >
        <StaticCurve axis={CEILING_AXIS} output={(level) => Math.min(level, ceilingDbtp)} />
        <InputMark levelDbfs={measured?.before.samplePeakDbfs} name="input peak" />
      </Plot>
      <div className="stage-fields">
        <SettingFields owner={owner} row={row} />
      </div>
    </>
  )
}
