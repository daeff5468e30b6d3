// Dragging with a captured pointer, for everything in the window that is dragged. A drag can
// be cancelled, which a release is told apart from.

import { type PointerEvent, useRef, useState } from 'react'

/** What a drag reads of a pointer event. */
export interface DragPress {
  readonly button: number
  /** 0 once all are released. */
  readonly buttons: number
  readonly pointerId: number
  readonly clientX: number
  readonly clientY: number
  readonly currentTarget: EventTarget & { setPointerCapture(pointerId: number): void }
}

export interface DragHandlers<Held, Press extends DragPress = DragPress> {
  /** The main button was pressed. @returns what is held from now on; null where nothing is dragged */
  onPress(event: Press): Held | null
  onMove(held: Held, event: Press): void
  /** Released after onPress, with or without moves in between. */
  onRelease?(held: Held, event: Press): void
  /** Cancelled by the system, or by cancel(). */
  onCancel?(held: Held): void
  /**
   * Moves count from this distance on, and the pointer is captured then: before, a press
   * still belongs to the buttons inside. 0 where it is left out.
   */
  readonly startsAtPx?: number
}

interface DragProps<Press extends DragPress = DragPress> {
  /** On the way down, since a button inside keeps its presses to itself. */
  onPointerDownCapture(event: Press): void
  onPointerMove(event: Press): void
  onPointerUp(event: Press): void
  onPointerCancel(event: Press): void
}

export interface Drag<Press extends DragPress = DragPress> {
  readonly dragProps: DragProps<Press>
  /** Lets go; onCancel is called where something is held. */
  cancel(): void
}

/** The drag by itself, without React. @param handlers read at every event, so that they may change */
export function createDrag<Held, Press extends DragPress>(
  handlers: () => DragHandlers<Held, Press>,
): Drag<Press> {
  let grip: { held: Held; pointerId: number; fromX: number; fromY: number; isCaptured: boolean } | null = null

  const cancel = (): void => {
    const held = grip
    grip = null
    if (held !== null) handlers().onCancel?.(held.held)
  }
  const capture = (event: Press): void => {
    if (grip === null || grip.isCaptured) return
    grip.isCaptured = true
    event.currentTarget.setPointerCapture(event.pointerId)
  }
  return {
    cancel,
    dragProps: {
      onPointerDownCapture(event) {
        // A second finger does not take over.
        if (event.button !== 0 || (grip !== null && event.pointerId !== grip.pointerId)) return
        const held = handlers().onPress(event)
        if (held === null) return
        const { pointerId, clientX: fromX, clientY: fromY } = event
        grip = { held, pointerId, fromX, fromY, isCaptured: false }
        if ((handlers().startsAtPx ?? 0) === 0) capture(event)
      },
      onPointerMove(event) {
        if (grip === null || event.pointerId !== grip.pointerId) return
        // Released where it was not seen, before the pointer was captured.
        if (event.buttons === 0) return cancel()
        const distancePx = Math.hypot(event.clientX - grip.fromX, event.clientY - grip.fromY)
        if (!grip.isCaptured && distancePx < (handlers().startsAtPx ?? 0)) return
        capture(event)
        handlers().onMove(grip.held, event)
      },
      onPointerUp(event) {
        if (grip === null || event.pointerId !== grip.pointerId) return
        const { held } = grip
        grip = null
        handlers().onRelease?.(held, event)
      },
      onPointerCancel(event) {
        if (event.pointerId === grip?.pointerId) cancel()
      },
    },
  }
}

/** A drag whose handlers may change with every render; a drag in progress goes on. */
export function useDrag<Held>(handlers: DragHandlers<Held, PointerEvent>): Drag<PointerEvent> {
  const latest = useRef(handlers)
  latest.current = handlers
  const [drag] = useState(() => createDrag(() => latest.current))
  return drag
}
