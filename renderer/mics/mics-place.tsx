// Mics: what there is, and what each does to a voice, as curves on one sheet.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { CurveRecord, Mic } from '../../app/contract/entities.ts'
import { Button } from '../parts/button.tsx'
import { Checkbox } from '../parts/checkbox.tsx'
import { EmptyState } from '../parts/empty-state.tsx'
import { curvesQuery, micsQuery } from '../state/queries.ts'
import { CurvePlot, curveLook } from './curve-plot.tsx'
import { ImportCurveDialog } from './import-curve-dialog.tsx'
import { NewMicDialog } from './new-mic-dialog.tsx'
import './mics.css'

/** More than this on one sheet is a thicket. */
const SHOWN_AT_FIRST = 3

export function MicsPlace() {
  const mics = useQuery(micsQuery).data ?? []
  const curves = useQuery(curvesQuery).data ?? []
  const [chosen, setChosen] = useState<readonly number[] | null>(null)
  const [isAligned, setAligned] = useState(true)
  const [dialog, setDialog] = useState<'mic' | { importFor: number | null } | null>(null)
  const shownIds = chosen ?? curves.slice(0, SHOWN_AT_FIRST).map((curve) => curve.id)
  const shown = shownIds.flatMap((id) => curves.filter((curve) => curve.id === id))
  const toggle = (curveId: number, isShown: boolean): void =>
    setChosen(isShown ? [...shownIds, curveId] : shownIds.filter((id) => id !== curveId))
  const close = (): void => setDialog(null)
  const targets = curves.filter((curve) => curve.micId === null)

  return (
    <div className="mics-place">
      <section className="mic-list" aria-label="Mics">
        <div className="mic-list-head">
          <Button look="main" onPress={() => setDialog('mic')}>
            New mic
          </Button>
          <Button onPress={() => setDialog({ importFor: mics[0]?.id ?? null })}>Import curve</Button>
        </div>
        {mics.length === 0 ? (
          <p className="soft mic-list-empty">
            No mics yet. Name the mics you record with; takes then say which one it was.
          </p>
        ) : null}
        {mics.map((mic) => (
          <MicEntry
            key={mic.id}
            mic={mic}
            curves={curves.filter((curve) => curve.micId === mic.id)}
            shownIds={shownIds}
            onToggle={toggle}
            onImport={() => setDialog({ importFor: mic.id })}
          />
        ))}
        {targets.length === 0 ? null : (
          <article className="mic-entry">
            <h2>Targets</h2>
            <p className="soft">Curves that belong to no mic, to aim a correction at.</p>
            <CurveChoices curves={targets} shownIds={shownIds} onToggle={toggle} />
          </article>
        )}
      </section>
      <section className="mic-curves" aria-label="Curves">
        {shown.length === 0 ? (
          <EmptyState title="No curve chosen">
            <p>Choose curves at the left to see them here, one over the other, or import one from a file.</p>
          </EmptyState>
        ) : (
          <>
            <CurvePlot curves={shown} isAligned={isAligned} />
            <Checkbox isSelected={isAligned} onChange={setAligned}>
              All through 0 dB at 1 kHz
            </Checkbox>
            <ul className="curve-key">
              {shown.map((curve, index) => (
                <li key={curve.id}>
                  <svg width="36" height="10" aria-hidden="true">
                    <line
                      x1="0"
                      x2="36"
                      y1="5"
                      y2="5"
                      stroke={curveLook(index).colour}
                      strokeDasharray={curveLook(index).dash}
                      strokeWidth="2.5"
                    />
                  </svg>
                  <span>
                    <strong>{mics.find((mic) => mic.id === curve.micId)?.name ?? 'Target'}</strong>,{' '}
                    {curve.name} <span className="soft">{describeCurve(curve)}</span>
                  </span>
                </li>
              ))}
            </ul>
          </>
        )}
      </section>
      {dialog === 'mic' ? (
        <NewMicDialog onClose={close} onMade={(micId) => setDialog({ importFor: micId })} />
      ) : null}
      {dialog !== null && dialog !== 'mic' ? (
        <ImportCurveDialog
          mics={mics}
          micId={dialog.importFor}
          onClose={close}
          onImported={(curveId) => setChosen([...shownIds, curveId])}
        />
      ) : null}
    </div>
  )
}

function describeCurve(curve: CurveRecord): string {
  const distance = curve.distanceM === null ? [] : [`at ${curve.distanceM} m`]
  return [curve.source, ...distance, `${curve.points.frequenciesHz.length} points`].join(', ')
}

interface CurveChoicesProps {
  readonly curves: readonly CurveRecord[]
  readonly shownIds: readonly number[]
  readonly onToggle: (curveId: number, isShown: boolean) => void
}

const CurveChoices = ({ curves, shownIds, onToggle }: CurveChoicesProps) => (
  <ul className="curve-choices">
    {curves.map((curve) => (
      <li key={curve.id}>
        <Checkbox
          isSelected={shownIds.includes(curve.id)}
          onChange={(isShown) => onToggle(curve.id, isShown)}
        >
          <span>
            {curve.name} <span className="soft">{curve.source}</span>
          </span>
        </Checkbox>
      </li>
    ))}
  </ul>
)

interface MicEntryProps extends CurveChoicesProps {
  readonly mic: Mic
  readonly onImport: () => void
}

const MicEntry = ({ mic, curves, shownIds, onToggle, onImport }: MicEntryProps) => (
  <article className="mic-entry">
    <div className="mic-entry-head">
      <h2>{mic.name}</h2>
      <Button look="plain" aria-label={`Import a curve of ${mic.name}`} onPress={onImport}>
        Import curve
      </Button>
    </div>
    <p className="soft">
      {[
        mic.pattern === 'unknown' ? 'pattern not known' : mic.pattern,
        mic.serial === '' ? '' : `serial ${mic.serial}`,
      ]
        .filter((word) => word !== '')
        .join(', ')}
    </p>
    {mic.note === '' ? null : <p>{mic.note}</p>}
    {curves.length === 0 ? (
      <p className="soft">No curve yet: its takes cannot be corrected.</p>
    ) : (
      <CurveChoices curves={curves} shownIds={shownIds} onToggle={onToggle} />
    )}
  </article>
)
