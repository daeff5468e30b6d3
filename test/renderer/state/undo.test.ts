import { describe, expect, it } from 'vitest'
import { type Act, createUndoHistory } from '../../../renderer/state/undo.ts'

/** A value with acts that set it. */
function createDesk() {
  const clock = { ms: 0 }
  const history = createUndoHistory(() => clock.ms)
  const desk = { value: 0, log: [] as number[] }
  const setTo = (to: number, mergeKey?: string): Act => {
    const from = desk.value
    const write = async (value: number): Promise<void> => {
      await Promise.resolve()
      desk.value = value
      desk.log.push(value)
    }
    return {
      label: `set ${to}`,
      ...(mergeKey === undefined ? {} : { mergeKey }),
      redo: () => write(to),
      undo: () => write(from),
    }
  }
  return { clock, history, desk, setTo }
}

describe('undo', () => {
  it('takes acts back in reverse and does them again in order', async () => {
    const { history, desk, setTo } = createDesk()
    await history.perform(setTo(1))
    await history.perform(setTo(2))
    expect(history.state.getState()).toEqual({ undoLabel: 'set 2', redoLabel: null })
    await history.undo()
    await history.undo()
    expect(desk.value).toBe(0)
    expect(history.state.getState()).toEqual({ undoLabel: null, redoLabel: 'set 1' })
    await history.redo()
    await history.redo()
    expect(desk.value).toBe(2)
  })

  it('forgets what was undone once something new is done', async () => {
    const { history, desk, setTo } = createDesk()
    await history.perform(setTo(1))
    await history.undo()
    await history.perform(setTo(5))
    await history.redo()
    expect(desk.value).toBe(5)
    expect(history.state.getState().redoLabel).toBeNull()
  })

  it('does not remember an act that failed, and goes on after it', async () => {
    const { history, desk, setTo } = createDesk()
    const failing: Act = {
      label: 'fail',
      redo: () => Promise.reject(new Error('refused')),
      undo: () => Promise.resolve(),
    }
    await expect(history.perform(failing)).rejects.toThrow('refused')
    expect(history.state.getState().undoLabel).toBeNull()
    await history.perform(setTo(3))
    expect(desk.value).toBe(3)
  })

  it('undoes in a session its own steps and those on the whole catalogue, and keeps the rest for its session', async () => {
    const { history, desk, setTo } = createDesk()
    history.show(1)
    await history.perform({ ...setTo(1), outlivesSession: true })
    await history.perform(setTo(2))
    const running = history.perform({ ...setTo(3), outlivesSession: true })
    const ofOne = history.perform(setTo(4))
    history.show(2)
    await Promise.all([running, ofOne])
    expect(history.state.getState().undoLabel).toBe('set 3')
    await history.perform(setTo(5))
    await history.undo()
    expect(desk.log).toEqual([1, 2, 3, 4, 5, 4])
    history.show(1)
    expect(history.state.getState()).toEqual({ undoLabel: 'set 4', redoLabel: null })
    await history.undo()
    expect(history.state.getState()).toEqual({ undoLabel: 'set 3', redoLabel: 'set 4' })
    history.show(2)
    expect(history.state.getState()).toEqual({ undoLabel: 'set 3', redoLabel: 'set 5' })
  })

  it('keeps a step that could not be undone', async () => {
    const { history } = createDesk()
    const act: Act = { label: 'stuck', redo: async () => {}, undo: () => Promise.reject(new Error('no')) }
    await history.perform(act)
    await expect(history.undo()).rejects.toThrow('no')
    expect(history.state.getState()).toEqual({ undoLabel: 'stuck', redoLabel: null })
  })

  it('runs acts one after the other, however fast they come', async () => {
    const { history, desk, setTo } = createDesk()
    const first = history.perform(setTo(1))
    const back = history.undo()
    await Promise.all([first, back])
    expect(desk.log).toEqual([1, 0])
  })

  it('makes one step of acts of one key that follow each other within a second', async () => {
    const { clock, history, desk, setTo } = createDesk()
    await history.perform(setTo(1, 'gain'))
    clock.ms += 900
    await history.perform(setTo(2, 'gain'))
    await history.undo()
    expect(desk.value).toBe(0)
    expect(history.state.getState().undoLabel).toBeNull()
    await history.redo()
    expect(desk.value).toBe(2)
  })

  it('parts them after a second, after a seal, and where the key is another', async () => {
    const { clock, history, desk, setTo } = createDesk()
    await history.perform(setTo(1, 'gain'))
    clock.ms += 1100
    await history.perform(setTo(2, 'gain'))
    history.seal()
    await history.perform(setTo(3, 'gain'))
    await history.perform(setTo(4, 'pan'))
    const seen: number[] = []
    for (let i = 0; i < 4; i++) {
      await history.undo()
      seen.push(desk.value)
    }
    expect(seen).toEqual([3, 2, 1, 0])
  })

  it('keeps a held gesture one step through a pause, and parts it from what follows', async () => {
    const { clock, history, desk, setTo } = createDesk()
    await history.perform(setTo(1, 'gain'))
    history.hold()
    await history.perform(setTo(2, 'gain'))
    clock.ms += 5000
    await history.perform(setTo(3, 'gain'))
    history.seal()
    await history.perform(setTo(4, 'gain'))
    const seen: number[] = []
    for (let i = 0; i < 3; i++) {
      await history.undo()
      seen.push(desk.value)
    }
    expect(seen).toEqual([3, 1, 0])
  })

  it('counts a seal that came while an act was still on its way', async () => {
    const { history, desk, setTo } = createDesk()
    const drag = history.perform(setTo(1, 'offset'))
    history.seal()
    await drag
    await history.perform(setTo(2, 'offset'))
    await history.undo()
    expect(desk.value).toBe(1)
  })

  it('forgets a step that did nothing, done or undone', async () => {
    const { history, setTo } = createDesk()
    const [first, second] = [setTo(1), setTo(2)]
    await history.perform(first)
    await history.perform(second)
    history.forget(first)
    await history.undo()
    expect(history.state.getState()).toMatchObject({ undoLabel: null, redoLabel: second.label })
    history.forget(second)
    await history.redo()
    expect(history.state.getState()).toEqual({ undoLabel: null, redoLabel: null })
  })

  describe('another session shown while an act is on its way', () => {
    it('keeps the act for its own session', async () => {
      const { history, desk, setTo } = createDesk()
      const first = history.perform(setTo(1))
      const second = history.perform(setTo(2))
      history.show(7)
      await Promise.all([first, second])
      expect(history.state.getState()).toEqual({ undoLabel: null, redoLabel: null })
      await history.undo()
      expect(desk.value).toBe(2)
      history.show(null)
      expect(history.state.getState().undoLabel).toBe('set 2')
      await history.undo()
      await history.undo()
      expect(desk.log).toEqual([1, 2, 0, 0])
    })

    it('ends an undo that has begun, in its own session', async () => {
      const { history, desk, setTo } = createDesk()
      await history.perform(setTo(1))
      const back = history.undo()
      await Promise.resolve()
      history.show(7)
      await back
      expect(desk.value).toBe(0)
      expect(history.state.getState()).toEqual({ undoLabel: null, redoLabel: null })
      history.show(null)
      expect(history.state.getState()).toEqual({ undoLabel: null, redoLabel: 'set 1' })
    })

    it('drops an undo that has not begun', async () => {
      const { history, desk, setTo } = createDesk()
      const slow = history.perform(setTo(1))
      const back = history.undo()
      history.show(7)
      await Promise.all([slow, back])
      expect(desk.log).toEqual([1])
    })

    it('joins no acts of two sessions to one step', async () => {
      const { history, desk, setTo } = createDesk()
      await history.perform(setTo(1, 'gain'))
      history.show(7)
      await history.perform(setTo(2, 'gain'))
      await history.undo()
      expect(desk.value).toBe(1)
    })
  })
})
