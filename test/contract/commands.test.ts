// Every command's schema takes a right input and refuses each of its list of wrong ones,
// before any handler is reached.

import { describe, expect, it } from 'vitest'
import { callHandler } from '../../app/contract/wire/call-handler.ts'
import { type CommandName, commands, type Handlers } from '../../app/contract/wire/commands.ts'
import { INPUTS } from './bad-inputs.ts'
import { changed } from './changed.ts'

const names = Object.keys(commands) as CommandName[]
/** Wrong for every command. */
const NO_OBJECTS: readonly unknown[] = [undefined, null, 7, 'text', true, []]

/** What the handler was given; undefined where it was never reached. */
async function reach(name: CommandName, input: unknown): Promise<unknown> {
  let reached: unknown
  const handlers = {
    [name]: async (parsed: unknown) => {
      reached = parsed
    },
  } as unknown as Handlers
  await callHandler(handlers, name, input, { signal: new AbortController().signal, report: () => {} })
  return reached
}

describe.each(names)('%s', (name) => {
  const { good, bad } = INPUTS[name]

  it('reaches its handler with a right input', async () => {
    expect(await reach(name, good)).toEqual(good)
  })

  it.each(NO_OBJECTS.map((input) => [input]))('refuses %j', async (input) => {
    await expect(reach(name, input)).rejects.toMatchObject({ code: 'invalid-input' })
  })

  const places = bad.map(([path, value]) => ({ path, value, shown: JSON.stringify(value)?.slice(0, 40) }))
  if (places.length > 0) {
    it.each(places)('refuses $path: $shown', async ({ path, value }) => {
      await expect(reach(name, changed(good, path, value))).rejects.toMatchObject({
        code: 'invalid-input',
        message: expect.stringMatching(new RegExp(`^Invalid input for ${name}: .+\\.$`)),
      })
    })
  }
})

describe('a schema', () => {
  it('gives the handler names without the blanks around them', async () => {
    expect(await reach('createArtist', { name: '  Maren Holt ', note: '' })).toEqual({
      name: 'Maren Holt',
      note: '',
    })
  })

  it('says in plain words what a name or a path cannot hold', async () => {
    const bounceTo = (folder: string) => reach('bounceSession', { ...INPUTS.bounceSession.good, folder })
    await expect(bounceTo('/out/\0')).rejects.toThrow(
      'Invalid input for bounceSession: at folder: the text contains the character NUL, which no name can have.',
    )
    await expect(bounceTo('/out/\ud800')).rejects.toThrow(
      /at folder: the text contains half of a surrogate pair/,
    )
  })

  it('names the place of what is wrong', async () => {
    const input = changed(INPUTS.saveChain.good, 'stages.1.settings.ratio', 21)
    await expect(reach('saveChain', input)).rejects.toThrow(/at stages\[1\]\.settings\.ratio: too big/)
  })
})
