// Sections of a session: made, changed and removed, with what undo needs, and out again with their session.

import { describe, expect, it } from 'vitest'
import { MAX_SECTIONS } from '../../../app/contract/sections/section.ts'
import { context, openWorkshop } from '../workshop.ts'

const verse = { name: 'Verse 1', startSamples: 48_000, lengthSamples: 480_000, note: 'sung twice' }

describe('the sections of a session', () => {
  it('are listed in the order of their starts, the longer of two first', async () => {
    const { handlers, createSession } = openWorkshop()
    const { id: sessionId } = await createSession()
    const add = (name: string, startSamples: number, lengthSamples: number) =>
      handlers.addSection({ sessionId, name, startSamples, lengthSamples, note: '' }, context)
    await add('Hook', 480_000, 96_000)
    await add('First line', -100, 10)
    await add('Verse', -100, 500)
    await add('Cue', 480_000, 0)
    const { sections } = await handlers.openSession({ id: sessionId }, context)
    expect(sections.map(({ name }) => name)).toEqual(['Verse', 'First line', 'Hook', 'Cue'])
  })

  it('keep what was entered, and a removed one comes back under its id', async () => {
    const { handlers, createSession } = openWorkshop()
    const { id: sessionId } = await createSession()
    const made = await handlers.addSection({ sessionId, ...verse }, context)
    expect(made).toEqual({ ...verse, id: made.id, sessionId })
    const changed = await handlers.updateSection(
      { id: made.id, changes: { name: 'Verse', lengthSamples: 0 } },
      context,
    )
    expect(changed).toEqual({ ...made, name: 'Verse', lengthSamples: 0 })
    expect(await handlers.removeSection({ id: made.id }, context)).toEqual(changed)
    await expect(handlers.removeSection({ id: made.id }, context)).rejects.toMatchObject({
      code: 'not-found',
    })
    await handlers.addSection({ sessionId, ...verse, name: 'Hook' }, context)
    expect(await handlers.addSection(changed, context)).toEqual(changed)
  })

  it('belong to a session that is there, and are not without number', async () => {
    const { handlers, workplace, createSession } = openWorkshop()
    await expect(handlers.addSection({ sessionId: 77, ...verse }, context)).rejects.toMatchObject({
      code: 'not-found',
    })
    const { id: sessionId } = await createSession()
    workplace.catalogue.transaction(() => {
      for (let k = 0; k < MAX_SECTIONS; k++) workplace.catalogue.sections.insert({ sessionId, ...verse })
    })
    await expect(handlers.addSection({ sessionId, ...verse }, context)).rejects.toMatchObject({
      code: 'conflict',
      message: `The session has ${MAX_SECTIONS} sections and takes no more; remove those that are not used.`,
    })
  })

  it('go with a removed session, and come back with it', async () => {
    const { handlers, createSession } = openWorkshop()
    const { id: sessionId } = await createSession()
    const made = await handlers.addSection({ sessionId, ...verse }, context)
    const { changeId } = await handlers.removeEntity({ kind: 'session', id: sessionId }, context)
    await handlers.revertEntityChange({ changeId }, context)
    const { sections } = await handlers.openSession({ id: sessionId }, context)
    expect(sections).toEqual([made])
  })
})
