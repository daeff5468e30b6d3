// The score: fixed row headers on the left, scrolling lanes, one time axis for all layers.

import { memo, useEffect, useLayoutEffect, useMemo, useRef } from 'react'
import type { SessionContents } from '../../../app/contract/entities.ts'
import type { Section } from '../../../app/contract/sections/section.ts'
import { type TimeBase, timeBaseOf } from '../../../app/words/bars/bar-words.ts'
import type { FrameRange } from '../../formats/frame-range.ts'
import { linesOf } from '../../formats/sections/section-lines.ts'
import { groupColour } from '../../formats/stack/group-colour.ts'
import { OFFSET_UNITS, type OffsetUnit, usableUnit } from '../../formats/stack/offset-units.ts'
import { ReturnLine } from '../../panels/returns/return-line.tsx'
import { RecallLine } from '../../panels/session/recall-line.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { forgetJustMade, useJustMade } from '../../state/just-made.ts'
import { useMissingTakes } from '../../state/missing-takes.ts'
import { useSelection } from '../../state/selection.ts'
import { isLayerSoloed, isSoloOn, useSolo } from '../../state/solo.ts'
import { CheckPanel } from './check/check-panel.tsx'
import { ChosenBar } from './chosen/chosen-bar.tsx'
import { GroupBand } from './group-band.tsx'
import { GroupWave } from './group-wave.tsx'
import { LayerRow } from './layer-row.tsx'
import { Playhead } from './playhead.tsx'
import { Ruler } from './ruler.tsx'
import { SECTION_LINE_PX } from './sections/section-desk.ts'
import { SectionRow } from './sections/section-row.tsx'
import { useSectionKeys } from './sections/use-section-keys.ts'
import { SheetLines } from './sheet-lines.tsx'
import { StackToolbar } from './stack-toolbar.tsx'
import {
  CLOSEST_PX_PER_SECOND,
  keepScroll,
  noteShownZoom,
  ROW_PX,
  readScroll,
  setFolded,
  setOffsetUnit,
  useStackView,
  zoomBy,
} from './stack-view.ts'
import { extentOf } from './time-axis.ts'
import { useChainChoices } from './use-chain-choices.ts'
import { useLaneViewport } from './use-lane-viewport.ts'
import { useWheelZoom } from './zoom/use-wheel-zoom.ts'

/** Height of the ruler. */
const TOP_PX = 40

/** Room for the name of a marker beside the next one. */
const MARKER_NAME_PX = 90

/** Factor on the length of the song, to leave some room after its end. */
const TAIL = 1.03
const MIN_SONG_S = 5

const UNIT_NAMES: Readonly<Record<OffsetUnit, string>> = {
  samples: 'Offset, samples',
  ms: 'Offset, ms',
  bars: 'Offset, bars',
}

const unfold = (groupId: number): void => setFolded(groupId, false)

/** Sections may begin before the first layer and end after the last. */
const withSections = ({ fromFrame, toFrame }: FrameRange, sections: readonly Section[]): FrameRange => ({
  fromFrame: Math.min(fromFrame, ...sections.map((one) => one.startSamples)),
  toFrame: Math.max(toFrame, ...sections.map((one) => one.startSamples + one.lengthSamples)),
})

/** All groups and layers on one time axis. */
export function StackScore({ contents }: { contents: SessionContents }) {
  const { session, groups, layers, sections } = contents
  const selection = useSelection()
  const view = useStackView()
  const chainChoices = useChainChoices(session.artistId, contents.chainVersions)
  const takes = useMemo(() => new Map(contents.takes.map((take) => [take.id, take])), [contents.takes])
  const base = useMemo(() => timeBaseOf(session), [session])
  const solo = useSolo()
  const missing = useMissingTakes()
  const isSolo = isSoloOn(solo)
  const made = useJustMade()
  const unit = usableUnit(view.offsetUnit, base)

  const sheet = useRef<HTMLDivElement>(null)
  const corner = useRef<HTMLDivElement>(null)
  const { viewport, drawn, lookAhead } = useLaneViewport(sheet, corner)
  const extent = withSections(extentOf(layers, takes, session.sampleRateHz), sections)
  const seconds = Math.max(MIN_SONG_S, ((extent.toFrame - extent.fromFrame) / session.sampleRateHz) * TAIL)
  const wholeSongPxPerSecond = Math.max(0.1, viewport.width / seconds)
  const pxPerSecond = Math.max(wholeSongPxPerSecond, view.zooms.get(session.id) ?? 0)
  const pxPerFrame = pxPerSecond / session.sampleRateHz
  const originFrame = extent.fromFrame
  const endFrame = originFrame + seconds * session.sampleRateHz

  useEffect(() => noteShownZoom({ pxPerSecond, wholeSongPxPerSecond }), [pxPerSecond, wholeSongPxPerSecond])
  useWheelZoom(sheet, {
    pxPerSecond,
    wholeSongPxPerSecond,
    closestPxPerSecond: CLOSEST_PX_PER_SECOND,
    laneWidth: viewport.width,
    seconds,
    settle(to) {
      // Before the scroll event that follows, so that the lanes are rendered once.
      lookAhead(to.scrollLeft)
      zoomBy(to.pxPerSecond / pxPerSecond, pxPerSecond, wholeSongPxPerSecond)
    },
  })

  // Scroll position of the session, once the lanes have their width.
  const isReady = viewport.width > 0
  useLayoutEffect(() => {
    const element = sheet.current!
    if (!isReady) return
    const { left, top } = readScroll(session.id)
    element.scrollTo(left, top)
    const keep = (): void => keepScroll(session.id, element.scrollLeft, element.scrollTop)
    element.addEventListener('scroll', keep, { passive: true })
    return () => element.removeEventListener('scroll', keep)
  }, [session.id, isReady])

  // A layer that was made is shown; its group is unfolded for that.
  const placed = made?.kind === 'layers' ? layers.filter(({ id }) => made.ids.includes(id)) : []
  // Of several that were placed together, the one that is shown first.
  const first = groups.flatMap(({ id }) => placed.filter(({ groupId }) => groupId === id))[0]
  useEffect(() => {
    if (first === undefined) return
    setFolded(first.groupId, false)
    const row = document.getElementById(`layer-${first.id}`)
    if (row === null) return
    forgetJustMade()
    row.scrollIntoView({ block: 'nearest', inline: 'nearest' })
    row.focus({ preventScroll: true })
  })

  // Zooming keeps the centre of the view in place.
  const lastZoom = useRef(pxPerSecond)
  useLayoutEffect(() => {
    const element = sheet.current
    if (element === null || lastZoom.current === pxPerSecond) return
    const middle = element.scrollLeft + viewport.width / 2
    element.scrollLeft = (middle * pxPerSecond) / lastZoom.current - viewport.width / 2
    lastZoom.current = pxPerSecond
  }, [pxPerSecond, viewport.width])

  const { loop } = selection
  useSectionKeys(session.id, sections, base)
  const lines = useMemo(() => linesOf(sections, MARKER_NAME_PX / pxPerFrame), [sections, pxPerFrame])

  const heights = ROW_PX[view.density]
  const lanePx = heights.row - 1
  const axis = useMemo(() => ({ originFrame, pxPerSecond, drawn }), [originFrame, pxPerSecond, drawn])
  const shown = groups
    .filter(({ id }) => !view.folded.has(id))
    .flatMap(({ id }) => layers.filter(({ groupId }) => groupId === id))
  const tabStopId = (shown.find(({ id }) => id === selection.layerId) ?? shown[0])?.id ?? null
  let topPx = TOP_PX + Math.max(1, ...lines.map((line) => line + 1)) * SECTION_LINE_PX

  return (
    <div className="stack-place" data-density={view.density}>
      <StackToolbar {...{ contents, chainChoices }} />
      <ReturnLine contents={contents} />
      <RecallLine contents={contents} />
      <CheckPanel contents={contents} onUnfold={unfold} />
      <div className="sheet" ref={sheet}>
        {/* Not by a custom property: all that is inside would get new styles with every step of a zoom. */}
        <div className="sheet-content" style={{ width: `calc(var(--head) + ${seconds * pxPerSecond}px)` }}>
          <div className="sheet-top">
            <div className="sheet-corner" ref={corner}>
              <span className="corner-gain">Gain</span>
              <span className="corner-pan">Pan</span>
              <OffsetUnitChooser {...{ base, unit }} />
            </div>
            <Ruler {...{ base, unit, originFrame, endFrame, pxPerSecond, drawn, loop }} />
          </div>
          <SheetLines {...{ base, originFrame, endFrame, pxPerSecond, drawn, loop }} />
          <SectionRow sessionId={session.id} {...{ sections, lines, base, originFrame, pxPerSecond }} />
          {groups.map((group, place) => {
            const colour = groupColour(place)
            const members = layers.filter((layer) => layer.groupId === group.id)
            const isFolded = members.length > 0 && view.folded.has(group.id)
            topPx += heights.head
            const firstPx = topPx
            topPx += (isFolded ? 1 : Math.max(1, members.length)) * heights.row
            return (
              <GroupBand
                key={group.id}
                group={group}
                layerCount={members.length}
                chainChoices={chainChoices}
                isShared={session.chainSharing === 'shared'}
                hasChain={
                  (session.chainSharing === 'shared'
                    ? session.sharedChainVersionId
                    : group.chainVersionId) !== null
                }
                isSelected={selection.groupId === group.id}
                colour={colour}
                isFolded={isFolded}
                isNew={made?.kind === 'group' && made.id === group.id}
                wave={
                  <GroupWave
                    layers={members}
                    takes={takes}
                    height={lanePx}
                    waveGain={view.waveGain}
                    {...{ base, axis, colour }}
                  />
                }
              >
                {members.map((layer, row) => {
                  const rowPx = firstPx + row * heights.row
                  return (
                    <LayerRow
                      key={layer.id}
                      layer={layer}
                      take={takes.get(layer.takeId)}
                      isSelected={selection.layerId === layer.id}
                      isChosen={selection.chosenIds.has(layer.id)}
                      isTabStop={layer.id === tabStopId}
                      isMissing={missing.has(layer.takeId)}
                      isSilenced={isSolo && !isLayerSoloed(solo, layer)}
                      axis={rowPx + heights.row > viewport.topPx && rowPx < viewport.bottomPx ? axis : null}
                      height={lanePx}
                      waveGain={view.waveGain}
                      density={view.density}
                      {...{ groups, base, unit, colour }}
                    />
                  )
                })}
              </GroupBand>
            )
          })}
          {groups.length === 0 ? (
            <p className="group-empty soft">No groups. Add one above, then place takes in it.</p>
          ) : null}
          <div className="sheet-rest" />
          <div className="sheet-playhead" aria-hidden="true">
            <Playhead
              sheet={sheet}
              laneWidth={viewport.width}
              originFrame={originFrame}
              pxPerFrame={pxPerFrame}
            />
          </div>
        </div>
      </div>
      <ChosenBar contents={contents} />
    </div>
  )
}

const OffsetUnitChooser = memo(function OffsetUnitChooser({
  base,
  unit,
}: {
  base: TimeBase
  unit: OffsetUnit
}) {
  return (
    <Select
      className="corner-offset"
      label="Offset unit"
      isLabelHidden
      items={OFFSET_UNITS.filter((item) => item === usableUnit(item, base)).map((item) => ({
        key: item,
        name: UNIT_NAMES[item],
      }))}
      value={unit}
      onChange={(chosen) => setOffsetUnit(chosen ?? 'ms')}
    />
  )
})
