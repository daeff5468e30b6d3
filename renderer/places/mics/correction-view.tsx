// A correction from a mic's curve to a target curve: target, fit and residual.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import type { MicCorrectionAims } from '../../../app/contract/chain-document.ts'
import type { CurveRecord, Mic } from '../../../app/contract/entities.ts'
import { formatFrequency, formatNumber, withUnit } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { bringCorrection } from '../../acts/bring-correction.ts'
import { rangeOf } from '../../formats/chain/setting-fields.ts'
import { Button } from '../../parts/button.tsx'
import { EmptyState } from '../../parts/empty-state.tsx'
import { FrequencyField } from '../../parts/fields/frequency-field.tsx'
import { NumberField } from '../../parts/fields/number-field.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { client } from '../../state/connection.ts'
import { useCurrentSession } from '../../state/queries.ts'
import { BandTable } from './band-table.tsx'
import { curveWithin } from './curves/curve-levels.ts'
import { CurvePlot, LookSign } from './curves/curve-plot.tsx'
import { curveItems, micNameOf } from './curves/curve-words.ts'
import { changeCorrection, useMicsState } from './curves/mics-state.ts'
import { useTakeCurve } from './curves/take-curve.ts'
import { ProximityFields } from './proximity-fields.tsx'

const LOOKS = {
  target: { colour: 'var(--ink)', dash: '6 4', width: 1.75 },
  fit: { colour: 'var(--accent)', dash: '', width: 2.75 },
  residual: { colour: 'var(--failure)', dash: '2 3', width: 2 },
  whole: { colour: 'var(--wave-harmony)', dash: '10 3 2 3', width: 2 },
} as const

export interface CorrectionViewProps {
  readonly mics: readonly Mic[]
  readonly curves: readonly CurveRecord[]
}

/** The Correction tab: fits a correction and can put it into the chain. */
export function CorrectionView({ mics, curves }: CorrectionViewProps) {
  const { correction } = useMicsState()
  const { take, curve: takeCurve } = useTakeCurve(curves)
  const session = useCurrentSession().data?.session
  const source =
    curves.find(({ id }) => id === correction.sourceId) ??
    takeCurve ??
    curves.find(({ micId }) => micId !== null)
  const target = curves.find(({ id }) => id === correction.targetId)
  const sampleRateHz = session?.sampleRateHz ?? 48_000
  const aims: MicCorrectionAims = {
    ...correction.limits,
    target:
      target === undefined
        ? null
        : { name: `${micNameOf(mics, target)}: ${target.name}`.slice(0, 200), curve: target.points },
    ...(correction.proximity === null ? {} : { proximity: correction.proximity }),
  }
  const fit = useQuery({
    queryKey: ['mic correction', source?.id, aims, sampleRateHz],
    queryFn: () => client.fitMicCorrection({ curveId: source!.id, aims, sampleRateHz }),
    enabled: source !== undefined,
    placeholderData: keepPreviousData,
    gcTime: 10_000,
    meta: { subjects: ['mics'] },
  })
  if (source === undefined) {
    return (
      <EmptyState title="No mic has a curve yet">
        <p>Import or trace the curve of a mic to correct its takes.</p>
      </EmptyState>
    )
  }
  const found = fit.data
  const items = curveItems(curves, mics)
  return (
    <div className="mic-view">
      <div className="mic-view-controls">
        <Select
          className="mic-control-curve"
          label={takeCurve?.id === source.id && take !== undefined ? `From (mic of ${take.name})` : 'From'}
          items={items}
          value={source.id}
          onChange={(sourceId) => changeCorrection({ sourceId })}
        />
        <Select
          className="mic-control-curve"
          label="To"
          none="Flat"
          items={items.filter(({ key }) => key !== source.id)}
          value={target?.id ?? null}
          onChange={(targetId) => changeCorrection({ targetId })}
        />
        <Button
          look="main"
          className="mic-controls-main"
          isDisabled={session === undefined || found === undefined}
          onPress={() => bringCorrection(aims)}
        >
          Use in chain
        </Button>
      </div>
      {fit.error === null ? null : (
        <p className="mic-complaint" role="status">
          {fit.error.message}
        </p>
      )}
      <div className="mic-view-split">
        <div className="mic-view-graph">
          {found === undefined ? (
            <div className="curve-plot curve-plot-split" />
          ) : (
            <CurvePlot
              className="curve-plot-split"
              leastDb={5}
              range={{ fromHz: found.fromHz, toHz: found.toHz }}
              label={`Correction from ${micNameOf(mics, source)} to ${target?.name ?? 'flat'}: target, fit, residual`}
              series={[
                {
                  key: 'target',
                  name: 'target',
                  points: curveWithin(found.wanted, found.fromHz, found.toHz),
                  look: LOOKS.target,
                },
                { key: 'fit', name: 'fit', points: found.fitted, look: LOOKS.fit },
                {
                  key: 'residual',
                  name: 'residual',
                  points: curveWithin(found.leftOver, found.fromHz, found.toHz),
                  look: LOOKS.residual,
                },
                ...(correction.proximity === null
                  ? []
                  : [
                      {
                        key: 'whole',
                        name: 'with the proximity shelf',
                        points: found.whole,
                        look: LOOKS.whole,
                      },
                    ]),
              ]}
            />
          )}
          <ul className="curve-key curve-key-row">
            <li>
              <LookSign look={LOOKS.target} /> target
            </li>
            <li>
              <LookSign look={LOOKS.fit} /> fit
            </li>
            <li>
              <LookSign look={LOOKS.residual} /> residual
            </li>
            {correction.proximity === null ? null : (
              <li>
                <LookSign look={LOOKS.whole} /> with the proximity shelf
              </li>
            )}
          </ul>
          {found === undefined ? null : (
            <p className="mic-statement" role="status">
              {found.bands.length === 0
                ? 'The curves agree within 0.2 dB. No correction needed.'
                : `${countOf(found.bands.length, 'band')}: ${withUnit(formatNumber(found.rmsErrorDb, 2), 'dB')} RMS error, ${withUnit(formatNumber(found.maxErrorDb, 2), 'dB')} max, from ${formatFrequency(Math.max(50, Math.round(found.fromHz)))} to ${formatFrequency(Math.min(16_000, Math.round(found.toHz)))}.`}
            </p>
          )}
          <ul className="mic-cautions">
            {(found?.cautions ?? []).map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ul>
        </div>
        <div className="mic-view-side">
          <LimitFields />
          <ProximityFields source={source} />
          {found === undefined || found.bands.length === 0 ? null : (
            <BandTable bands={found.bands} caption="Fitted bands" />
          )}
        </div>
      </div>
    </div>
  )
}

function LimitFields() {
  const { limits } = useMicsState().correction
  const set = (changes: Partial<typeof limits>): void =>
    changeCorrection({ limits: { ...limits, ...changes } })
  return (
    <fieldset className="mic-fields" aria-label="Correction limits">
      <NumberField
        label="Amount"
        value={limits.amountPercent}
        unit="%"
        {...rangeOf('mic-correction', 'amountPercent')}
        step={5}
        places={0}
        onChange={(amountPercent) => set({ amountPercent })}
      />
      <NumberField
        label="Max bands"
        value={limits.maxBands}
        unit=""
        {...rangeOf('mic-correction', 'maxBands')}
        places={0}
        onChange={(maxBands) => set({ maxBands: Math.round(maxBands) })}
      />
      <NumberField
        label="Max boost"
        value={limits.maxBoostDb}
        unit="dB"
        {...rangeOf('mic-correction', 'maxBoostDb')}
        step={0.5}
        onChange={(maxBoostDb) => set({ maxBoostDb })}
      />
      <NumberField
        label="Max cut"
        value={limits.maxCutDb}
        unit="dB"
        {...rangeOf('mic-correction', 'maxCutDb')}
        step={0.5}
        onChange={(maxCutDb) => set({ maxCutDb })}
      />
      <FrequencyField
        label="From"
        value={limits.fromHz}
        {...rangeOf('mic-correction', 'fromHz')}
        onChange={(fromHz) => set({ fromHz })}
      />
      <FrequencyField
        label="To"
        value={limits.toHz}
        {...rangeOf('mic-correction', 'toHz')}
        onChange={(toHz) => set({ toHz })}
      />
    </fieldset>
  )
}
