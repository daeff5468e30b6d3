// One section in the row of sections: its name, the edges that are dragged, and a menu. A marker is a name at a line.

import { type KeyboardEvent, useState } from 'react'
import type { Section } from '../../../../app/contract/sections/section.ts'
import { hasTempo, type TimeBase } from '../../../../app/words/bars/bar-words.ts'
import { changeSection, removeSection } from '../../../acts/section-acts.ts'
import type { FrameRange } from '../../../formats/frame-range.ts'
import { rangeOf } from '../../../formats/sections/section-lines.ts'
import { formatOffset } from '../../../formats/stack/offset-units.ts'
import { snapToBeat, stepBySnap } from '../../../formats/stack/snap.ts'
import { keyActOf } from '../../../keys/key-table.ts'
import { InlineName } from '../../../parts/fields/inline-name.tsx'
import { neighbourOf } from '../../../parts/focus-beside.ts'
import { Menu } from '../../../parts/menu.tsx'
import { useDrag } from '../../../parts/use-drag.ts'
import { player } from '../../../playback/player.ts'
import { setLoop } from '../../../state/selection.ts'
import { undoHistory } from '../../../state/undo.ts'
import { nameSection, SECTION_LINE_PX, selectSection, useSectionDesk } from './section-desk.ts'

type Part = 'whole' | 'start' | 'end'

export interface SectionBarProps {
  readonly section: Section
  readonly line: number
  readonly base: TimeBase
  readonly isTabStop: boolean
  readonly isSelected: boolean
  readonly pxPerFrame: number
  readonly xOf: (frame: number) => number
}

/** The range after one part was moved by some frames; the ends do not cross. */
function movedRange(
  { fromFrame, toFrame }: FrameRange,
  part: Part,
  to: (frame: number) => number,
): FrameRange {
  if (part === 'start') return { fromFrame: Math.min(to(fromFrame), toFrame), toFrame }
  if (part === 'end') return { fromFrame, toFrame: Math.max(to(toFrame), fromFrame) }
  const moved = to(fromFrame)
  return { fromFrame: moved, toFrame: moved + toFrame - fromFrame }
}

const PART_WORDS: Readonly<Record<Part, string>> = { whole: 'place', start: 'start', end: 'end' }

export function SectionBar({ section, line, base, isTabStop, isSelected, pxPerFrame, xOf }: SectionBarProps) {
  const [dragged, setDragged] = useState<FrameRange | null>(null)
  const isNamed = useSectionDesk().namedId === section.id
  const now = rangeOf(section)
  const shown = dragged ?? now
  const isMarker = shown.toFrame === shown.fromFrame
  const unit = hasTempo(base) ? 'bars' : 'ms'

  const moveTo = ({ fromFrame, toFrame }: FrameRange, part: Part): void => {
    if (fromFrame === now.fromFrame && toFrame === now.toFrame) return
    void changeSection(
      section,
      { startSamples: fromFrame, lengthSamples: toFrame - fromFrame },
      PART_WORDS[part],
    )
  }
  const { dragProps, cancel } = useDrag<{ part: Part; fromX: number; range: FrameRange | null }>({
    startsAtPx: 4,
    onPress(event) {
      const target = event.target as HTMLElement
      if (target.closest('input, button') !== null) return null
      selectSection(section.id)
      return { part: (target.dataset.part as Part | undefined) ?? 'whole', fromX: event.clientX, range: null }
    },
    onMove(held, event) {
      const by = (event.clientX - held.fromX) / pxPerFrame
      held.range = movedRange(now, held.part, (frame) =>
        event.shiftKey ? Math.round(frame + by) : snapToBeat(frame + by, base),
      )
      setDragged(held.range)
    },
    onRelease({ part, range }) {
      setDragged(null)
      if (range === null) {
        player.seek(section.startSamples)
        return
      }
      undoHistory.seal()
      moveTo(range, part)
      undoHistory.seal()
    },
    onCancel: () => setDragged(null),
  })

  const remove = (): void => {
    const next = neighbourOf(document.getElementById(`section-${section.id}`), '.section-bar')
    void removeSection(section).then((isDone) => isDone && next?.focus())
  }
  const step = (part: Part, steps: number): void =>
    moveTo(
      movedRange(now, part, (frame) => stepBySnap(frame, steps, base)),
      part,
    )
  const onKeyDown = (event: KeyboardEvent<HTMLElement>): void => {
    if (event.target !== event.currentTarget) return
    const bars = [...document.querySelectorAll<HTMLElement>('.section-bar')]
    const beside = (by: number): void => bars[bars.indexOf(event.currentTarget) + by]?.focus()
    switch (keyActOf(event, 'section')) {
      case 'sectionBefore':
        beside(-1)
        break
      case 'sectionAfter':
        beside(1)
        break
      case 'sectionName':
        nameSection(section.id)
        break
      case 'sectionEarlier':
        step('whole', -1)
        break
      case 'sectionLater':
        step('whole', 1)
        break
      case 'sectionShorter':
        step('end', -1)
        break
      case 'sectionLonger':
        step('end', 1)
        break
      case 'removeSection':
        remove()
        break
      case 'leaveSection':
        cancel()
        break
      default:
        return
    }
    event.preventDefault()
    event.stopPropagation()
  }

  const from = formatOffset(shown.fromFrame, unit, base)
  const place = isMarker ? `at ${from}` : `${from} to ${formatOffset(shown.toFrame, unit, base)}`
  return (
    // biome-ignore lint/a11y/useSemanticElements: a fieldset holds form fields
    <div
      id={`section-${section.id}`}
      className={isMarker ? 'section-bar section-marker' : 'section-bar'}
      role="group"
      tabIndex={isTabStop ? 0 : -1}
      aria-label={`${isMarker ? 'Marker' : 'Section'} ${section.name}, ${place}`}
      title={`${section.name}, ${place}`}
      data-selected={isSelected || undefined}
      style={{
        top: line * SECTION_LINE_PX,
        left: xOf(shown.fromFrame),
        ...(isMarker ? {} : { width: Math.max(3, (shown.toFrame - shown.fromFrame) * pxPerFrame) }),
      }}
      {...dragProps}
      onDoubleClick={() => nameSection(section.id)}
      onFocus={() => selectSection(section.id)}
      onBlur={() => undoHistory.seal()}
      onKeyDown={onKeyDown}
    >
      {isMarker ? null : <span className="section-edge section-edge-start" data-part="start" />}
      {isNamed ? <NameField section={section} /> : <span className="section-name">{section.name}</span>}
      {isSelected && !isNamed ? (
        <Menu
          className="section-menu"
          label={`More for ${section.name}`}
          acts={[
            { name: 'Rename', onAction: () => nameSection(section.id) },
            ...(isMarker ? [] : [{ name: 'Loop', onAction: () => setLoop(now) }]),
            { name: 'Remove', onAction: remove },
          ]}
        />
      ) : null}
      {isMarker ? null : <span className="section-edge section-edge-end" data-part="end" />}
    </div>
  )
}

/** The name as a field, all of it selected, until it is left. */
const NameField = ({ section }: { section: Section }) => (
  // biome-ignore lint/a11y/noStaticElementInteractions: listens for the field inside
  <span
    className="section-naming"
    ref={(element) => element?.querySelector('input')?.select()}
    onBlur={() => nameSection(null)}
    onKeyDown={(event) => {
      if (keyActOf(event, 'text') === null || keyActOf(event, 'text') === 'toResults') return
      nameSection(null)
      const bar = document.getElementById(`section-${section.id}`)
      queueMicrotask(() => bar?.focus())
    }}
  >
    <InlineName
      className="section-name-field"
      label={`Name of ${section.name}`}
      value={section.name}
      onChange={(name) => void changeSection(section, { name }, 'name')}
    />
  </span>
)
