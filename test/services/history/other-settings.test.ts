// A session that was set on two computers: the other's settings can be taken, undo brings back one's own, and what was
// taken is the end of the conflict on both.

import { beforeEach, describe, expect, it } from 'vitest'
import { sessionSettings } from '../../../app/services/history/session-settings.ts'
import { context } from '../workshop.ts'
import { bring, type Computer, failureOf, fillComputer, openComputer } from './two-computers.ts'

const ONLY = 1

const settingsOf = ({ workplace }: Computer) => sessionSettings(workplace.catalogue, ONLY)
const othersOf = ({ handlers }: Computer) => handlers.listOtherSettings({ sessionId: ONLY }, context)

describe('a session that was set differently on two computers', () => {
  let home: Computer
  let studio: Computer

  const setGain = async (computer: Computer, gainDb: number, minute: number): Promise<void> => {
    computer.setMinute(minute)
    const [layer] = computer.workplace.catalogue.layers.listOfSession(ONLY)
    await computer.handlers.updateLayer({ id: layer!.id, changes: { gainDb } }, context)
  }

  beforeEach(async () => {
    home = openComputer()
    studio = openComputer()
    await fillComputer(home)
    await bring(home, studio)
    await setGain(home, -4.5, 10)
    await setGain(studio, 2, 20)
    studio.setMinute(30)
    await bring(home, studio)
    home.setMinute(31)
    await bring(studio, home)
  })

  it('keeps its own, and lists the other with what differs', async () => {
    expect(settingsOf(home).groups[0]!.layers[0]!.gainDb).toBe(-4.5)
    expect(await othersOf(home)).toEqual([
      expect.objectContaining({
        here: expect.stringContaining('gain -4.5 dB'),
        there: expect.stringContaining('gain 2 dB'),
      }),
    ])
    expect(await othersOf(studio)).toHaveLength(1)
  })

  it('takes those of the other whole, as a change that was made from both', async () => {
    const ids = home.workplace.catalogue.layers.listOfSession(ONLY).map(({ id }) => id)
    const [other] = await othersOf(home)
    await home.handlers.takeOtherSettings(
      { sessionId: ONLY, at: other!.at, machine: other!.machine },
      context,
    )
    expect(settingsOf(home)).toEqual(settingsOf(studio))
    expect(home.workplace.catalogue.layers.listOfSession(ONLY).map(({ id }) => id)).toEqual(ids)
    expect(await othersOf(home)).toEqual([])
    studio.setMinute(40)
    expect((await bring(home, studio)).conflicts).toEqual([])
    expect(await othersOf(studio)).toEqual([])
    expect((await bring(studio, home)).conflicts).toEqual([])
    // A later change on either is a change, and the settings of before are no others any more.
    await setGain(home, 3, 45)
    studio.setMinute(46)
    expect((await bring(home, studio)).conflicts).toEqual([])
    expect(settingsOf(studio).groups[0]!.layers[0]!.gainDb).toBe(3)
    expect(await othersOf(studio)).toEqual([])
    await setGain(studio, 1, 50)
    home.setMinute(51)
    expect((await bring(studio, home)).conflicts).toEqual([])
    expect(settingsOf(home).groups[0]!.layers[0]!.gainDb).toBe(1)
  })

  it('undone it is as before, on this computer and for the other, and can be taken again', async () => {
    const { identities } = home.workplace.catalogue
    const before = settingsOf(home)
    const stamps = () => [identities.stampOf('settings', ONLY), identities.ownChangeOf('settings', ONLY)]
    const [stamp, own] = stamps()
    const [other] = await othersOf(home)
    const chosen = { sessionId: ONLY, at: other!.at, machine: other!.machine }
    const former = await home.handlers.takeOtherSettings(chosen, context)
    await home.handlers.returnToSettings({ sessionId: ONLY, former }, context)
    expect(settingsOf(home)).toEqual(before)
    expect(stamps()).toEqual([stamp, own])
    expect(await othersOf(home)).toEqual([other])
    await home.handlers.takeOtherSettings(chosen, context)
    expect(settingsOf(home)).toEqual(settingsOf(studio))
  })

  it('undone it brings back settings that no other computer has seen', async () => {
    await setGain(home, 6, 40)
    const [other] = await othersOf(home)
    const chosen = { sessionId: ONLY, at: other!.at, machine: other!.machine }
    const former = await home.handlers.takeOtherSettings(chosen, context)
    expect(settingsOf(home)).toEqual(settingsOf(studio))
    await home.handlers.returnToSettings({ sessionId: ONLY, former }, context)
    expect(settingsOf(home).groups[0]!.layers[0]!.gainDb).toBe(6)
    expect(await othersOf(home)).toEqual([other])
  })

  it('settings that are not kept are refused, and nothing is changed', async () => {
    const before = settingsOf(home)
    const failure = await failureOf(() =>
      home.handlers.takeOtherSettings(
        { sessionId: ONLY, at: '2026-10-01T00:00:00.000Z', machine: '' },
        context,
      ),
    )
    expect(failure).toMatchObject({ code: 'not-found' })
    expect(settingsOf(home)).toEqual(before)
  })
})
