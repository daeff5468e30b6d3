// Takes of many sessions whose folder was moved, found again by their bytes in one act (D21).

import { createHash } from 'node:crypto'
import { mkdirSync, writeFileSync } from 'node:fs'
import { cpus } from 'node:os'
import { join } from 'node:path'
import type { CallContext } from '../../../app/contract/wire/commands.ts'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { openCatalogue } from '../../../db/catalogue.ts'
import { newSession, newTake } from '../../db/entries.ts'
import { chunkBytes, fmtChunk, waveBytes } from '../../signals/wave-bytes.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, inRoot } from '../places.ts'
import type { Cell, Section } from '../report.ts'
import { factsOfSpeech } from '../speech-facts.ts'
import { quantileOf } from '../statistics.ts'
import { timeCommand } from '../timed-command.ts'

const TAKES = 10_000
const PER_FOLDER = 100
/** Files of the moved folder that are no takes: half as many have the size of one, half as many another size. */
const OTHERS_PER_FOLDER = 100
const FRAMES = 8000
/** Lengths in frames differ, but not all of them. */
const LENGTHS = 500

const context: CallContext = { signal: new AbortController().signal, report: () => {} }

export async function relocation({ rounds }: BenchOptions, say: (message: string) => void): Promise<Section> {
  const folder = freshFolder('relocate')
  say(`${TAKES} takes in a folder that was moved`)
  const moved = inRoot(`${folder}/moved`)
  const path = inRoot(`${folder}/catalogue.sqlite`)
  await build(path, moved, folder)
  const threads = cpus().length
  const hashing = `find ${folder}/moved -type f -size +15k -print0 | xargs -0 -n 200 -P ${threads} sha256sum`

  const times = new Map<string, number[]>()
  const note = (what: string, seconds: number): void => {
    times.set(what, [...(times.get(what) ?? []), seconds])
  }
  // The first round brings the files into the system's cache and is not counted.
  for (let round = 0; round <= rounds; round++) {
    say(`round ${round} of ${rounds}`)
    const hashed = (await timeCommand(hashing)).wallS
    // As after a start: nothing is known of any file.
    const workplace = openWorkplace(path)
    const acts = createHandlers(workplace)
    const round0 = round === 0
    const timed = async <T>(what: string, act: () => Promise<T>): Promise<[T, number]> => {
      const began = performance.now()
      const answer = await act()
      const seconds = (performance.now() - began) / 1000
      if (!round0) note(what, seconds)
      return [answer, seconds]
    }
    try {
      const [absent, listing] = await timed('the missing takes are listed', () =>
        acts.listMissingTakes({ sessionId: null }, context),
      )
      const before = workplace.catalogue.takes.listOnDisk(null)
      const [{ found }, searching] = await timed('the folder is searched', () =>
        acts.searchMissingTakes({ sessionId: null, folder: moved }, context),
      )
      if (absent.length !== TAKES || found.length !== TAKES)
        throw new Error(`${found.length} of ${absent.length} missing takes were found`)
      const [, relinking] = await timed('their new places are stored', () =>
        acts.relinkTakes({ takes: found }, context),
      )
      const all = listing + searching + relinking
      if (!round0) {
        note('all of it', all)
        note('sha256sum of the same files', hashed)
        note('all of it less sha256sum', all - hashed)
      }
      const places = before.map(({ id, path: place, copies }) => ({ id, path: place, copies }))
      await timed('it is undone', () => acts.restoreTakePlaces({ takes: places }, context))
    } finally {
      await workplace.close()
    }
  }
  const rows = [...times].map(
    ([what, all]): Record<string, Cell> => ({
      what,
      median: quantileOf(all, 0.5),
      most: quantileOf(all, 1),
    }),
  )
  return {
    id: 'relocate',
    title: `${TAKES} missing takes found by hash among ${(TAKES / PER_FOLDER) * (PER_FOLDER + OTHERS_PER_FOLDER)} files`,
    commands: { 'sha256sum of the same files': hashing },
    notes: [
      'Aim (D21): 5 s beside the hashing of files of equal sizes. Takes are short, so that what is not hashing shows.',
    ],
    tables: [
      {
        title: 'relocation, s',
        columns: [
          { key: 'what', head: '' },
          { key: 'median', head: 'median', digits: 2 },
          { key: 'most', head: 'most', digits: 2 },
        ],
        rows,
      },
    ],
  }
}

/** Every file has bytes of its own. */
async function build(cataloguePath: string, moved: string, folder: string): Promise<void> {
  const facts = await factsOfSpeech(folder)
  const random = createRandom(21)
  const soundOf = (frames: number): Buffer => {
    const samples = Buffer.alloc(2 * frames)
    for (let n = 0; n < frames; n++)
      samples.writeInt16LE(Math.round((random.uniform() - 0.5) * 60_000), 2 * n)
    return waveBytes([fmtChunk(), chunkBytes('data', samples)])
  }
  const catalogue = openCatalogue(cataloguePath)
  try {
    const at = '2026-10-01T12:00:00.000Z'
    const artist = catalogue.artists.insert({ name: 'Invented Artist', note: '' }, at)
    for (let n = 0; n < TAKES / PER_FOLDER; n++) {
      const place = join(moved, `day ${n}`)
      mkdirSync(place, { recursive: true })
      for (let k = 0; k < OTHERS_PER_FOLDER; k++) {
        const frames = k % 2 === 0 ? FRAMES + k : FRAMES / 4
        writeFileSync(join(place, `other ${k}.wav`), soundOf(frames))
      }
      const files = Array.from({ length: PER_FOLDER }, (_, k) => {
        const frames = FRAMES + ((n * PER_FOLDER + k) % LENGTHS)
        const bytes = soundOf(frames)
        writeFileSync(join(place, `take ${k}.wav`), bytes)
        return { frames, sizeBytes: bytes.length, sha256: createHash('sha256').update(bytes).digest('hex') }
      })
      catalogue.transaction(() => {
        const song = catalogue.songs.insert({ artistId: artist.id, title: `Song ${n}` }, at)
        const session = catalogue.sessions.insert(newSession(song.id), at)
        for (const [k, file] of files.entries()) {
          const take = catalogue.takes.insert(
            newTake(`take ${n}-${k}`, {
              ...file,
              path: `/disk that is gone/day ${n}/take ${k}.wav`,
              encoding: 'pcm-16',
              importedAt: at,
              facts,
            }),
          )
          catalogue.takes.linkToSession(session.id, take.id)
        }
      })
    }
  } finally {
    catalogue.close()
  }
}
