// The row of sections above the groups: names between thin rules, on the time axis of the layers. Dragging on the row
// makes a section.

import { useQuery } from '@tanstack/react-query'
import { memo, type PointerEvent, useRef, useState } from 'react'
import type { Section } from '../../../../app/contract/sections/section.ts'
import type { TimeBase } from '../../../../app/words/bars/bar-words.ts'
import { countOf } from '../../../../app/words/numbers.ts'
import { addFileMarkers, addSection } from '../../../acts/section-acts.ts'
import type { FrameRange } from '../../../formats/frame-range.ts'
import { freeSectionName, freshMarkers } from '../../../formats/sections/section-lines.ts'
import { snapToBeat } from '../../../formats/stack/snap.ts'
import { ariaKeysOf } from '../../../keys/key-table.ts'
import { Button } from '../../../parts/button.tsx'
import { useDrag } from '../../../parts/use-drag.ts'
import { fileMarkersQuery } from '../../../state/queries.ts'
import { useLiveZoom } from '../zoom/live-zoom.ts'
import { SectionBar } from './section-bar.tsx'
import { nameSection, SECTION_LINE_PX, selectSection, useSectionDesk } from './section-desk.ts'
import './sections.css'

/** Shorter drags count as clicks. */
const CLICK_PX = 4

export interface SectionRowProps {
  readonly sessionId: number
  readonly sections: readonly Section[]
  /** The line of each section. */
  readonly lines: readonly number[]
  readonly base: TimeBase
  readonly originFrame: number
  readonly pxPerSecond: number
}

/** How many markers the files of the layers have that are no sections here. */
function useWaitingMarkers(sessionId: number, sections: readonly Section[]): number {
  const markers = useQuery(fileMarkersQuery(sessionId)).data ?? []
  return freshMarkers(markers, sections).length
}

const sorted = (a: number, b: number): FrameRange => ({ fromFrame: Math.min(a, b), toFrame: Math.max(a, b) })

export const SectionRow = memo(function SectionRow(props: SectionRowProps) {
  const { sessionId, sections, lines, base, originFrame } = props
  const { scale, shiftPx } = useLiveZoom()
  const { selectedId, begunFrame } = useSectionDesk()
  const [drawn, setDrawn] = useState<FrameRange | null>(null)
  const lane = useRef<HTMLDivElement>(null)
  const pxPerFrame = (props.pxPerSecond * scale) / base.sampleRateHz
  const xOf = (frame: number): number => (frame - originFrame) * pxPerFrame + shiftPx
  const frameAt = (event: PointerEvent): number => {
    const x = event.clientX - lane.current!.getBoundingClientRect().left
    const free = originFrame + (x - shiftPx) / pxPerFrame
    return event.shiftKey ? Math.round(free) : snapToBeat(free, base)
  }

  const { dragProps } = useDrag<{ fromFrame: number; fromX: number }>({
    onPress(event) {
      // On a section, it is the section that is dragged.
      if (event.target !== lane.current) return null
      return { fromFrame: frameAt(event), fromX: event.clientX }
    },
    onMove: ({ fromFrame }, event) => setDrawn(sorted(fromFrame, frameAt(event))),
    onRelease({ fromFrame, fromX }, event) {
      setDrawn(null)
      const { fromFrame: startSamples, toFrame } = sorted(fromFrame, frameAt(event))
      if (Math.abs(event.clientX - fromX) < CLICK_PX || toFrame === startSamples) return
      const fields = { startSamples, lengthSamples: toFrame - startSamples, note: '' }
      void addSection(sessionId, { ...fields, name: freeSectionName(sections) }).then((made) => {
        selectSection(made?.id ?? null)
        nameSection(made?.id ?? null)
      })
    },
    onCancel: () => setDrawn(null),
  })
  const waiting = useWaitingMarkers(sessionId, sections)
  const tabStopId = (sections.find(({ id }) => id === selectedId) ?? sections[0])?.id ?? null
  const lineCount = Math.max(1, ...lines.map((line) => line + 1))

  return (
    <section className="section-row" aria-label="Sections" style={{ height: lineCount * SECTION_LINE_PX }}>
      <div
        className="section-head"
        title="Drag on the row to make a section, or press K where it begins and ends"
      >
        Sections
        <Button
          look="plain"
          aria-label={waiting === 0 ? 'From files' : `From files: ${countOf(waiting, 'marker')} not here yet`}
          onPress={() => void addFileMarkers(sessionId, sections)}
        >
          From files{waiting === 0 ? '' : ` (${waiting})`}
        </Button>
      </div>
      <div ref={lane} className="section-lane" aria-keyshortcuts={ariaKeysOf('markSection')} {...dragProps}>
        {sections.map((section, i) => (
          <SectionBar
            key={section.id}
            section={section}
            line={lines[i] ?? 0}
            isTabStop={section.id === tabStopId}
            isSelected={section.id === selectedId}
            {...{ base, xOf, pxPerFrame }}
          />
        ))}
        {drawn === null ? null : (
          <span
            className="section-drawn"
            style={{ left: xOf(drawn.fromFrame), width: (drawn.toFrame - drawn.fromFrame) * pxPerFrame }}
          />
        )}
        {begunFrame === null ? null : (
          <span className="section-begun" role="status" style={{ left: xOf(begunFrame) }}>
            begun
          </span>
        )}
      </div>
    </section>
  )
})
