// Dragging with a captured pointer, for everything in the window that is dragged. A cancelled drag
// is reported separately from a release.

import { type PointerEvent, useRef, useState } from 'react'

/** The properties of a pointer event that a drag uses. */
export interface DragPress {
  readonly button: number
  /** 0 when no button is pressed. */
  readonly buttons: number
  readonly pointerId: number
  readonly clientX: number
  readonly clientY: number
  readonly currentTarget: EventTarget & { setPointerCapture(pointerId: number): void }
}

export interface DragHandlers<Held, Press extends DragPress = DragPress> {
  /** The main button was pressed. @returns what is dragged; null starts no drag */
  onPress(event: Press): Held | null
  onMove(held: Held, event: Press): void
  /** Called on release, even if the pointer did not move. */
  onRelease?(held: Held, event: Press): void
  /** Cancelled by the system, or by cancel(). */
  onCancel?(held: Held): void
  /**
   * Distance in px at which the drag starts and the pointer is captured. Until then, a press
   * still works on the buttons inside. Default 0.
   */
  readonly startsAtPx?: number
}

interface DragProps<Press extends DragPress = DragPress> {
  /** In the capture phase, because a button inside stops its press from bubbling. */
  onPointerDownCapture(event: Press): void
  onPointerMove(event: Press): void
  onPointerUp(event: Press): void
  onPointerCancel(event: Press): void
}

export interface Drag<Press extends DragPress = DragPress> {
  readonly dragProps: DragProps<Press>
  /** Ends the drag in progress, if any, and calls onCancel. */
  cancel(): void
}

/** Drag logic without React. @param handlers called at every event, so that the handlers may change */
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
        // The release was outside the element and the pointer not yet captured, so no pointerup arrived.
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

/** A drag whose handlers may change with every render; a drag in progress continues. */
export function useDrag<Held>(handlers: DragHandlers<Held, PointerEvent>): Drag<PointerEvent> {
  const latest = useRef(handlers)
  latest.current = handlers
  const [drag] = useState(() => createDrag(() => latest.current))
  return drag
}
