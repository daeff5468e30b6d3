// A catalogue of many takes: invented artists who came back for years. Written once through
// the catalogue's own acts, and kept beside the other material.

import { existsSync, renameSync, rmSync } from 'node:fs'
import { defaultStages } from '../../app/contract/chain-document.ts'
import type { TakeFacts } from '../../app/contract/take-facts.ts'
import { openCatalogue } from '../../db/catalogue.ts'
import { newSession, newTake, sha256Of } from '../db/entries.ts'
import { inRoot, MATERIAL } from './places.ts'

export const ARTISTS = 100
const SESSIONS_PER_ARTIST = 20
const TAKES_PER_SESSION = 50
export const TAKES = ARTISTS * SESSIONS_PER_ARTIST * TAKES_PER_SESSION

const SYLLABLES = ['Ma', 'ren', 'Tol', 'vi', 'Sae', 'lin', 'Or', 'ka', 'Bre', 'do', 'Nu', 'esh']
const PARTS = ['verse', 'hook', 'bridge', 'double', 'ad-lib', 'harmony', 'intro', 'outro']

const nameOf = (k: number): string =>
  `${SYLLABLES[k % 12]}${SYLLABLES[(k * 5 + 1) % 12].toLowerCase()} ${SYLLABLES[(k * 7 + 3) % 12]}${k}`

/** @param facts of a take as the program measures it, put on every take */
export function manyTakes(facts: TakeFacts): string {
  const path = `${MATERIAL}/${TAKES}-takes.sqlite`
  if (existsSync(inRoot(path))) return path
  const part = inRoot(`${path}.part`)
  for (const file of [part, `${part}-wal`, `${part}-shm`]) rmSync(file, { force: true })
  const catalogue = openCatalogue(part)
  try {
    const mics = Array.from({ length: 12 }, (_, k) =>
      catalogue.mics.insert(
        { name: `Invented mic ${k + 1}`, serial: `${1000 + k}`, pattern: 'cardioid', note: '' },
        timeOf(0, k),
      ),
    )
    for (let a = 0; a < ARTISTS; a++) {
      catalogue.transaction(() => {
        const artist = catalogue.artists.insert({ name: nameOf(a), note: '' }, timeOf(a, 0))
        const voices = ['rap', 'sung'].map((name) =>
          catalogue.voices.insert({ artistId: artist.id, name, note: '' }, timeOf(a, 1)),
        )
        for (const voice of voices) {
          const chain = catalogue.chains.insert({ voiceId: voice.id, name: voice.name }, timeOf(a, 2))
          for (let n = 0; n < 10; n++) {
            const stages = Object.values(defaultStages)
            catalogue.chains.insertVersion(
              {
                chainId: chain.id,
                stages,
                sha256: sha256Of(`${a} ${voice.name} ${n}`),
                note: `version ${n}`,
              },
              timeOf(a, 3 + n),
            )
          }
        }
        for (let s = 0; s < SESSIONS_PER_ARTIST; s++) {
          const title = `Song ${SYLLABLES[(a + s) % 12]} ${Math.floor(s / 2) + 1}`
          const song =
            catalogue.songs.findByTitle(artist.id, title) ??
            catalogue.songs.insert({ artistId: artist.id, title }, timeOf(a, 20 + s))
          const date = new Date(Date.UTC(2020, 0, 1 + 18 * s)).toISOString().slice(0, 10)
          const session = catalogue.sessions.insert(newSession(song.id, { date }), timeOf(a, 20 + s))
          for (const name of ['Lead', 'Doubles', 'Ad-libs']) {
            catalogue.groups.insert({ sessionId: session.id, name, chainVersionId: null, gainDb: 0 })
          }
          for (let t = 0; t < TAKES_PER_SESSION; t++) {
            const name = `${artist.name.split(' ')[0]} ${PARTS[t % 8]} ${s + 1}-${t + 1}`
            const take = catalogue.takes.insert(
              newTake(name, {
                sha256: sha256Of(`${a} ${s} ${t}`),
                path: `/takes/${date}/${name}.wav`,
                importedAt: timeOf(a, 50 + 60 * s + t),
                voiceId: voices[t % 2].id,
                micId: mics[(a + s) % 12].id,
                facts,
              }),
            )
            catalogue.takes.linkToSession(session.id, take.id)
          }
        }
      })
    }
  } finally {
    catalogue.close()
  }
  renameSync(part, inRoot(path))
  return path
}

const timeOf = (artist: number, minute: number): string =>
  new Date(Date.UTC(2020, 0, 1) + artist * 86_400_000 + minute * 60_000).toISOString()
