// The score: fixed row headers on the left, scrolling lanes, one time axis for all layers.

import { useLayoutEffect, useMemo, useRef } from 'react'
import type { SessionContents } from '../../../app/contract/entities.ts'
import { OFFSET_UNITS, type OffsetUnit, timeBaseOf, usableUnit } from '../../formats/stack/offset-units.ts'
import { RecallLine } from '../../panels/session/recall-line.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { useSelection } from '../../state/selection.ts'
import { GroupBand } from './group-band.tsx'
import { LayerRow } from './layer-row.tsx'
import { Playhead } from './playhead.tsx'
import { Ruler } from './ruler.tsx'
import { StackToolbar } from './stack-toolbar.tsx'
import { setOffsetUnit, useStackView, zoomBy } from './stack-view.ts'
import { extentOf, ticksBetween } from './time-axis.ts'
import { useChainChoices } from './use-chain-choices.ts'
import { useLaneViewport } from './use-lane-viewport.ts'
import { useWheelZoom } from './use-wheel-zoom.ts'

const LANE_PX = 72

/** Factor on the length of the song, to leave some room after its end. */
const TAIL = 1.03
const MIN_SONG_S = 5

const UNIT_NAMES: Readonly<Record<OffsetUnit, string>> = {
  samples: 'Offset, samples',
  ms: 'Offset, ms',
  bars: 'Offset, bars',
}

/** All groups and layers on one time axis. */
export function StackScore({ contents }: { contents: SessionContents }) {
  const { session, groups, layers } = contents
  const selection = useSelection()
  const view = useStackView()
  const chainChoices = useChainChoices(session.artistId, contents.chainVersions)
  const takes = useMemo(() => new Map(contents.takes.map((take) => [take.id, take])), [contents.takes])
  const base = timeBaseOf(session)
  const unit = usableUnit(view.offsetUnit, base)

  const sheet = useRef<HTMLDivElement>(null)
  const corner = useRef<HTMLDivElement>(null)
  const viewport = useLaneViewport(sheet, corner)
  const extent = extentOf(layers, takes, session.sampleRateHz)
  const seconds = Math.max(MIN_SONG_S, ((extent.toFrame - extent.fromFrame) / session.sampleRateHz) * TAIL)
  const wholeSongPxPerSecond = Math.max(0.1, viewport.width / seconds)
  const pxPerSecond = Math.max(wholeSongPxPerSecond, view.pxPerSecond ?? 0)
  const pxPerFrame = pxPerSecond / session.sampleRateHz
  const originFrame = extent.fromFrame
  const endFrame = originFrame + seconds * session.sampleRateHz

  useWheelZoom(sheet, (factor) => zoomBy(factor, pxPerSecond, wholeSongPxPerSecond))

  // Zooming keeps the centre of the view in place.
  const lastZoom = useRef(pxPerSecond)
  useLayoutEffect(() => {
    const element = sheet.current
    if (element === null || lastZoom.current === pxPerSecond) return
    const middle = element.scrollLeft + viewport.width / 2
    element.scrollLeft = (middle * pxPerSecond) / lastZoom.current - viewport.width / 2
    lastZoom.current = pxPerSecond
  }, [pxPerSecond, viewport.width])

  const bars = ticksBetween(
    originFrame + viewport.fromPx / pxPerFrame,
    Math.min(endFrame, originFrame + viewport.toPx / pxPerFrame),
    pxPerSecond,
    base,
  ).filter((tick) => tick.label !== null)
  const { loop } = selection

  return (
    <div className="stack-place">
      <StackToolbar {...{ contents, chainChoices, pxPerSecond, wholeSongPxPerSecond }} />
      <RecallLine contents={contents} />
      <div className="sheet" ref={sheet}>
        <div
          className="sheet-content"
          style={{ '--lanes-width': `${seconds * pxPerSecond}px` } as React.CSSProperties}
        >
          <div className="sheet-top">
            <div className="sheet-corner" ref={corner}>
              <span className="corner-gain">Gain</span>
              <span className="corner-pan">Pan</span>
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
            </div>
            <Ruler {...{ base, unit, originFrame, endFrame, pxPerSecond, viewport, loop }} />
          </div>
          <div className="sheet-lines" aria-hidden="true">
            {bars.map((tick) => (
              <span
                key={tick.frame}
                className="bar-line"
                style={{ left: (tick.frame - originFrame) * pxPerFrame }}
              />
            ))}
            {loop === null ? null : (
              <span
                className="loop-shade"
                style={{
                  left: (loop.fromFrame - originFrame) * pxPerFrame,
                  width: (loop.toFrame - loop.fromFrame) * pxPerFrame,
                }}
              />
            )}
          </div>
          {groups.map((group) => {
            const members = layers.filter((layer) => layer.groupId === group.id)
            return (
              <GroupBand
                key={group.id}
                group={group}
                layerCount={members.length}
                chainChoices={chainChoices}
                isShared={session.chainSharing === 'shared'}
                isSelected={selection.groupId === group.id}
              >
                {members.map((layer) => (
                  <LayerRow
                    key={layer.id}
                    layer={layer}
                    take={takes.get(layer.takeId)}
                    isSelected={selection.layerId === layer.id}
                    height={LANE_PX}
                    waveGain={view.waveGain}
                    {...{ groups, base, unit, originFrame, pxPerSecond, viewport }}
                  />
                ))}
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
    </div>
  )
}
