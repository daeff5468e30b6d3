// Keys for sections that work everywhere in Stack: begin and end one at the playhead, go from one to the next, loop.

import { useEffect } from 'react'
import type { Section } from '../../../../app/contract/sections/section.ts'
import type { TimeBase } from '../../../../app/words/bars/bar-words.ts'
import { addSection } from '../../../acts/section-acts.ts'
import { freeSectionName, rangeOf, sectionAt, startBeside } from '../../../formats/sections/section-lines.ts'
import { snapToBeat } from '../../../formats/stack/snap.ts'
import { isTakenElsewhere } from '../../../keys/key-target.ts'
import { useKeyDown } from '../../../keys/use-key-down.ts'
import { player, playheadFrame } from '../../../playback/player.ts'
import { setLoop } from '../../../state/selection.ts'
import { windowKeyActOf } from '../../../state/single-keys.ts'
import { beginAt, clearSectionDesk, readSectionDesk, selectSection } from './section-desk.ts'

/** Within it, going back leads to the section before. */
const GRACE_S = 1

export function useSectionKeys(sessionId: number, sections: readonly Section[], base: TimeBase): void {
  useEffect(() => clearSectionDesk, [])

  const beginOrEnd = async (): Promise<void> => {
    const here = snapToBeat(playheadFrame(), base)
    const { begunFrame } = readSectionDesk()
    if (begunFrame === null) {
      beginAt(here)
      return
    }
    beginAt(null)
    const lengthSamples = Math.abs(here - begunFrame)
    const made = await addSection(sessionId, {
      name: freeSectionName(sections, lengthSamples === 0 ? 'Marker' : 'Section'),
      startSamples: Math.min(begunFrame, here),
      lengthSamples,
      note: '',
    })
    selectSection(made?.id ?? null)
  }
  const goTo = (step: 1 | -1): void => {
    const frame = startBeside(sections, playheadFrame(), step, GRACE_S * base.sampleRateHz)
    if (frame !== null) player.seek(frame)
  }
  const loop = (): void => {
    const { selectedId } = readSectionDesk()
    const chosen =
      sections.find(({ id, lengthSamples }) => id === selectedId && lengthSamples > 0) ??
      sectionAt(sections, playheadFrame())
    if (chosen !== null) setLoop(rangeOf(chosen))
  }

  useKeyDown((event) => {
    if (isTakenElsewhere(event.target)) return
    switch (windowKeyActOf(event, 'song')) {
      case 'markSection':
        if (!event.repeat) void beginOrEnd()
        break
      case 'previousSection':
        goTo(-1)
        break
      case 'nextSection':
        goTo(1)
        break
      case 'loopSection':
        loop()
        break
      default:
        return
    }
    event.preventDefault()
    event.stopPropagation()
  })
}
