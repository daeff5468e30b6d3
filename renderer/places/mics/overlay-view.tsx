// Overlay of curves, normalised to 0 dB on request, and the difference of two.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { CurveRecord, Mic } from '../../../app/contract/entities.ts'
import { formatFrequency } from '../../../app/words/format.ts'
import { addCurve } from '../../acts/mic-acts.ts'
import { AUDIBLE_FREQUENCIES_HZ } from '../../formats/preferred-frequencies.ts'
import { Button } from '../../parts/button.tsx'
import { EmptyState } from '../../parts/empty-state.tsx'
import { FrequencyField } from '../../parts/fields/frequency-field.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { client } from '../../state/connection.ts'
import { levelWithin, type Normalising, normalisingShiftDb } from './curves/curve-levels.ts'
import { CurvePlot, curveLook, LookSign, type PlotSeries, signed } from './curves/curve-plot.tsx'
import { curveItems, micNameOf } from './curves/curve-words.ts'
import { changeMicsState, useMicsState } from './curves/mics-state.ts'

export interface OverlayViewProps {
  readonly mics: readonly Mic[]
  readonly curves: readonly CurveRecord[]
  readonly shownIds: readonly number[]
}

const DIFFERENCE_LOOK = { colour: 'var(--failure)', dash: '', width: 2.5 }

/** The Curves tab: selected curves in one plot, normalised, with the difference of two. */
export function OverlayView({ mics, curves, shownIds }: OverlayViewProps) {
  const { normalising, difference } = useMicsState()
  const [showsTable, setShowsTable] = useState(false)
  const shown = shownIds.flatMap((id) => curves.filter((curve) => curve.id === id))
  const curve = curves.find(({ id }) => id === difference.curveId) ?? shown[0]
  const less =
    curves.find(({ id }) => id === difference.subtractedCurveId) ?? shown.find((one) => one !== curve)
  const between = useDifference(difference.isShown, curve, less)

  const series: PlotSeries[] = shown.map((one, index) => ({
    key: one.id,
    name: `${micNameOf(mics, one)}, ${one.name}`,
    points: one.points,
    look: curveLook(index),
    shiftDb: normalisingShiftDb(one.points, normalising),
  }))
  const points = between.data?.points
  if (points !== undefined && curve !== undefined && less !== undefined) {
    series.push({
      key: 'difference',
      name: `${micNameOf(mics, curve)} minus ${micNameOf(mics, less)}`,
      points,
      look: DIFFERENCE_LOOK,
      shiftDb: normalisingShiftDb(points, normalising),
    })
  }
  const saveDifference = async (): Promise<void> => {
    if (points === undefined || curve === undefined || less === undefined) return
    const shiftDb = normalisingShiftDb(points, normalising)
    const made = await addCurve({
      micId: null,
      name: `${micNameOf(mics, curve)} minus ${micNameOf(mics, less)}`.slice(0, 200),
      source: 'own',
      pattern: 'unknown',
      distanceM: null,
      note: `${curve.name} minus ${less.name}`,
      points: {
        frequenciesHz: points.frequenciesHz,
        levelsDb: points.levelsDb.map((level) => level + shiftDb),
      },
      picture: null,
    })
    if (made !== null) {
      changeMicsState({
        shownIds: [...shownIds, made.id],
        difference: { ...difference, isShown: false },
      })
    }
  }

  if (shown.length === 0) {
    return (
      <EmptyState title="No curve selected">
        <p>
          Select curves on the left to overlay them. Import a curve as text, or trace one from a picture of a
          data sheet.
        </p>
      </EmptyState>
    )
  }
  const items = curveItems(curves, mics)
  return (
    <div className="mic-view">
      <CurvePlot
        className="curve-plot-tall"
        series={series}
        label={`Level over frequency of ${series.map(({ name }) => name).join('; ')}`}
      />
      <ul className="curve-key curve-key-row">
        {series.map(({ key, name, look }) => (
          <li key={key}>
            <LookSign look={look} />
            <span>{name}</span>
          </li>
        ))}
      </ul>
      <div className="mic-view-controls">
        <NormalisingFields normalising={normalising} />
        <span className="mic-controls-space" />
        <Button look="plain" aria-expanded={showsTable} onPress={() => setShowsTable(!showsTable)}>
          {showsTable ? 'Hide table' : 'Show table'}
        </Button>
      </div>
      <div className="mic-view-controls">
        <fieldset className="mic-controls-group mic-controls-wide" aria-label="Difference of two curves">
          <Select
            className="mic-control-curve"
            label="Difference of"
            items={items}
            value={curve?.id ?? null}
            onChange={(curveId) => changeMicsState({ difference: { ...difference, curveId, isShown: true } })}
          />
          <Select
            className="mic-control-curve"
            label="minus"
            items={items}
            value={less?.id ?? null}
            onChange={(subtractedCurveId) =>
              changeMicsState({ difference: { ...difference, subtractedCurveId, isShown: true } })
            }
          />
          <Button
            isDisabled={curve === undefined || less === undefined}
            onPress={() => changeMicsState({ difference: { ...difference, isShown: !difference.isShown } })}
          >
            {difference.isShown ? 'Hide' : 'Show'}
          </Button>
          <Button isDisabled={points === undefined} onPress={() => void saveDifference()}>
            Save as curve
          </Button>
        </fieldset>
      </div>
      {between.error === null ? null : (
        <p className="mic-complaint" role="status">
          {between.error.message}
        </p>
      )}
      {showsTable ? <LevelTable series={series} /> : null}
    </div>
  )
}

const useDifference = (isShown: boolean, curve: CurveRecord | undefined, less: CurveRecord | undefined) =>
  useQuery({
    queryKey: ['curve difference', curve?.id, less?.id],
    queryFn: () => client.subtractCurves({ curveId: curve!.id, subtractedCurveId: less!.id }),
    enabled: isShown && curve !== undefined && less !== undefined,
    meta: { subjects: ['mics'] },
  })

function NormalisingFields({ normalising }: { normalising: Normalising }) {
  const set = (next: Normalising): void => changeMicsState({ normalising: next })
  return (
    <fieldset className="mic-controls-group" aria-label="Normalisation">
      <Select
        className="mic-control-kind"
        label="Normalise to 0 dB"
        items={[
          { key: 'at', name: 'at a frequency' },
          { key: 'over', name: 'over a range' },
          { key: 'off', name: 'off' },
        ]}
        value={normalising.kind}
        onChange={(kind) =>
          set(
            kind === 'at'
              ? { kind, frequencyHz: 1000 }
              : kind === 'over'
                ? { kind, fromHz: 315, toHz: 3150 }
                : { kind: 'off' },
          )
        }
      />
      {normalising.kind === 'at' ? (
        <FrequencyField
          className="mic-control-hz"
          label="Frequency"
          value={normalising.frequencyHz}
          min={20}
          max={20_000}
          onChange={(frequencyHz) => set({ kind: 'at', frequencyHz })}
        />
      ) : null}
      {normalising.kind === 'over' ? (
        <>
          <FrequencyField
            className="mic-control-hz"
            label="From"
            value={normalising.fromHz}
            min={20}
            max={normalising.toHz / 1.1}
            onChange={(fromHz) => set({ ...normalising, fromHz })}
          />
          <FrequencyField
            className="mic-control-hz"
            label="To"
            value={normalising.toHz}
            min={normalising.fromHz * 1.1}
            max={20_000}
            onChange={(toHz) => set({ ...normalising, toHz })}
          />
        </>
      ) : null}
    </fieldset>
  )
}

/** Levels at the preferred frequencies, for those who cannot see the plot. */
const LevelTable = ({ series }: { series: readonly PlotSeries[] }) => (
  <div className="level-table-frame">
    <table className="level-table">
      <caption>Levels in dB at the preferred third-octave frequencies of ISO 266</caption>
      <thead>
        <tr>
          <th scope="col">Frequency</th>
          {series.map(({ key, name }) => (
            <th key={key} scope="col">
              {name}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {AUDIBLE_FREQUENCIES_HZ.map((frequencyHz) => (
          <tr key={frequencyHz}>
            <th scope="row">{formatFrequency(frequencyHz)}</th>
            {series.map(({ key, points, shiftDb = 0 }) => {
              const levelDb = levelWithin(points, frequencyHz)
              return <td key={key}>{levelDb === null ? '—' : signed(levelDb + shiftDb)}</td>
            })}
          </tr>
        ))}
      </tbody>
    </table>
  </div>
)
