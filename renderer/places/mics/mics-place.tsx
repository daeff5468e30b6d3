// Mics: microphones with their curves, and views to compare, correct, carry and trace curves.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import { Tab, TabList, TabPanel, Tabs } from 'react-aria-components'
import { MicDialog } from '../../panels/mic/mic-dialog.tsx'
import { Button } from '../../parts/button.tsx'
import { curvesQuery, micsQuery } from '../../state/queries.ts'
import { CarryView } from './carry-view.tsx'
import { CorrectionView } from './correction-view.tsx'
import { changeMicsState, MIC_VIEWS, type MicView, useMicsState } from './curves/mics-state.ts'
import { curveOfTake } from './curves/take-curve.ts'
import { EditCurveDialog } from './edit-curve-dialog.tsx'
import { ImportCurveDialog } from './import-curve-dialog.tsx'
import { type MicDialog as Asked, MicList } from './mic-list.tsx'
import { OverlayView } from './overlay-view.tsx'
import { useTraceState } from './trace/trace-state.ts'
import { TraceView } from './trace/trace-view.tsx'
import './mics.css'
import './trace/trace.css'

/** More curves in one plot are hard to read. */
const SHOWN_AT_FIRST = 3

const VIEW_NAMES: Readonly<Record<MicView, string>> = {
  curves: 'Curves',
  correction: 'Correction',
  carry: 'Carry',
  trace: 'Trace',
}

/** Mics: the list on the left, and one of four views. */
export function MicsPlace() {
  const known = useQuery(micsQuery).data
  const mics = known ?? []
  const curves = useQuery(curvesQuery).data ?? []
  const { view, shownIds: chosen } = useMicsState()
  const [dialog, setDialog] = useState<Asked | null>(null)
  // An open picture also takes the space of the list.
  const isTracing = useTraceState().picture !== null && view === 'trace'
  const close = (): void => setDialog(null)
  // By default, one curve per mic.
  const firsts = mics.flatMap((mic) => curveOfTake({ curveId: null, micId: mic.id }, curves)?.id ?? [])
  const shownIds = (chosen ?? firsts.slice(0, SHOWN_AT_FIRST)).filter((id) =>
    curves.some((curve) => curve.id === id),
  )

  const viewOf = (one: MicView) => {
    switch (one) {
      case 'curves':
        return <OverlayView mics={mics} curves={curves} shownIds={shownIds} />
      case 'correction':
        return <CorrectionView mics={mics} curves={curves} />
      case 'carry':
        return <CarryView mics={mics} curves={curves} />
      case 'trace':
        return <TraceView mics={mics} />
    }
  }

  return (
    <>
      <Tabs
        className="mics-place"
        selectedKey={view}
        onSelectionChange={(key) => changeMicsState({ view: key as MicView })}
      >
        <div className="mics-head">
          <TabList className="mic-tabs" aria-label="Mic views">
            {MIC_VIEWS.map((one) => (
              <Tab key={one} id={one} className="mic-tab">
                {VIEW_NAMES[one]}
              </Tab>
            ))}
          </TabList>
          <span className="mics-head-acts">
            <Button onPress={() => setDialog({ kind: 'mic', mic: null })}>New mic</Button>
            <Button onPress={() => setDialog({ kind: 'import', micId: mics[0]?.id ?? null })}>
              Import curve
            </Button>
          </span>
        </div>
        <div className="mics-body">
          <section className="mic-list" aria-label="Mics" hidden={isTracing}>
            {known?.length === 0 ? (
              <p className="soft mic-list-empty">
                No mics yet. Add the mics you record with, then assign them to takes in Intake.
              </p>
            ) : null}
            <MicList mics={mics} curves={curves} shownIds={shownIds} onDialog={setDialog} />
          </section>
          {MIC_VIEWS.map((one) => (
            <TabPanel key={one} id={one} className="mic-panel">
              {viewOf(one)}
            </TabPanel>
          ))}
        </div>
      </Tabs>
      {dialog?.kind === 'mic' ? (
        <MicDialog
          mic={dialog.mic}
          onClose={close}
          onMade={(micId) => setDialog({ kind: 'import', micId })}
        />
      ) : null}
      {dialog?.kind === 'curve' ? <EditCurveDialog curve={dialog.curve} mics={mics} onClose={close} /> : null}
      {dialog?.kind === 'import' ? (
        <ImportCurveDialog
          mics={mics}
          micId={dialog.micId}
          onClose={close}
          onImported={(curveId) => changeMicsState({ shownIds: [...shownIds, curveId] })}
        />
      ) : null}
    </>
  )
}
