// A drag from press to release: what counts as one, and that a cancelled one is no release.

import { expect, it, vi } from 'vitest'
import { createDrag, type DragHandlers, type DragPress } from '../../../renderer/parts/use-drag.ts'

function setUp(startsAtPx = 0) {
  const setPointerCapture = vi.fn()
  const handlers = {
    startsAtPx,
    onPress: vi.fn((): string | null => 'tone'),
    onMove: vi.fn<DragHandlers<string>['onMove']>(),
    onRelease: vi.fn(),
    onCancel: vi.fn(),
  }
  const drag = createDrag<string, DragPress>(() => handlers)
  const event = (clientX: number, changes: Partial<DragPress> = {}): DragPress => ({
    button: 0,
    buttons: 1,
    pointerId: 1,
    clientX,
    clientY: 0,
    currentTarget: { setPointerCapture } as unknown as DragPress['currentTarget'],
    ...changes,
  })
  return { ...drag.dragProps, cancel: drag.cancel, handlers, event, setPointerCapture }
}

it('hands what was pressed to every move and to the release, once', () => {
  const { onPointerDownCapture, onPointerMove, onPointerUp, handlers, event, setPointerCapture } = setUp()
  onPointerMove(event(1))
  onPointerDownCapture(event(10))
  expect(setPointerCapture).toHaveBeenCalledWith(1)
  onPointerMove(event(12))
  onPointerUp(event(14))
  onPointerUp(event(14))
  onPointerMove(event(16))
  expect(handlers.onMove.mock.calls.map(([held, { clientX }]) => [held, clientX])).toEqual([['tone', 12]])
  expect(handlers.onRelease).toHaveBeenCalledTimes(1)
  expect(handlers.onCancel).not.toHaveBeenCalled()
})

it('is none for another button, for another finger, and where nothing is held', () => {
  const { onPointerDownCapture, onPointerMove, handlers, event } = setUp()
  onPointerDownCapture(event(0, { button: 2 }))
  expect(handlers.onPress).not.toHaveBeenCalled()
  handlers.onPress.mockReturnValueOnce(null)
  onPointerDownCapture(event(0))
  onPointerMove(event(5))
  onPointerDownCapture(event(0))
  onPointerDownCapture(event(50, { pointerId: 2 }))
  onPointerMove(event(55, { pointerId: 2 }))
  expect(handlers.onPress).toHaveBeenCalledTimes(2)
  expect(handlers.onMove).not.toHaveBeenCalled()
})

it('that is cancelled ends without a release, by the system or by the program', () => {
  const { onPointerDownCapture, onPointerUp, onPointerCancel, cancel, handlers, event } = setUp()
  onPointerDownCapture(event(0))
  onPointerCancel(event(0))
  onPointerDownCapture(event(0))
  cancel()
  onPointerUp(event(9))
  cancel()
  expect(handlers.onCancel).toHaveBeenCalledTimes(2)
  expect(handlers.onRelease).not.toHaveBeenCalled()
})

it('with a distance leaves a press to the buttons inside until it is passed', () => {
  const { onPointerDownCapture, onPointerMove, onPointerUp, handlers, event, setPointerCapture } = setUp(5)
  onPointerDownCapture(event(0))
  onPointerMove(event(4))
  expect(setPointerCapture).not.toHaveBeenCalled()
  onPointerMove(event(5))
  onPointerMove(event(1))
  onPointerUp(event(1))
  expect(setPointerCapture).toHaveBeenCalledTimes(1)
  expect(handlers.onMove).toHaveBeenCalledTimes(2)
  // Released outside before it was captured: the pointer comes back without a button.
  onPointerDownCapture(event(0))
  onPointerMove(event(20, { buttons: 0 }))
  expect(handlers.onMove).toHaveBeenCalledTimes(2)
  expect(handlers.onCancel).toHaveBeenCalledTimes(1)
})
