// Mutants of an exchanged history, as bytes and as values: each is taken or refused with a Failure of one sentence,
// and what is taken can be merged or is refused whole.

import { expect, it } from 'vitest'
import { previewHistory } from '../../app/services/history/merge-history.ts'
import { readHistory } from '../../app/services/history/read-history.ts'
import { readZip } from '../../app/services/history/read-zip.ts'
import { exported, fillComputer, openComputer } from '../services/history/two-computers.ts'
import { rawZip } from '../services/history/zip-bytes.ts'
import { tryMutants } from './mutants.ts'
import { mutatedBytes, mutatedValue } from './mutate.ts'

it('mutants of a history are merged or refused, and the catalogue stays sound', async () => {
  const [home, studio] = [openComputer(), openComputer()]
  await fillComputer(home)
  const bytes = await exported(home)
  const entries = [...(await readZip(bytes, 'h'))].map(([name, content]) => ({ name, bytes: content }))
  const text = entries.find(({ name }) => name === 'history.json')!.bytes
  const outcomes = await tryMutants(async (draw) => {
    if (draw.below(2) === 0) {
      await readHistory(mutatedBytes(bytes, [bytes], draw), 'voice.zip')
      return
    }
    const value = mutatedValue(JSON.parse(text.toString('utf8')), draw)
    const changed = Buffer.from(JSON.stringify(value) ?? 'null', 'utf8')
    const file = rawZip(
      entries.map((one) => (one.name === 'history.json' ? { ...one, bytes: changed } : one)),
    )
    previewHistory(studio.workplace, await readHistory(file, 'voice.zip'))
  }, 0.5)
  expect(outcomes.taken).toBeGreaterThan(0)
  expect(outcomes['invalid-input']).toBeGreaterThan(0)
  expect(studio.workplace.catalogue.artists.list()).toEqual([])
})
