// Measured chains with their rows along the song, kept over a restart in a fixed number of files beside the peaks. Each
// take has the chain that it was measured with last, once nothing has changed for a moment; so a dragged setting writes
// nothing. A file is known by its key: take, rate, stages and the program's version.

import { createHash } from 'node:crypto'
import { existsSync, statSync } from 'node:fs'
import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { openInputFile } from '../../audio/input-file.ts'
import type { SongOfChain } from '../../contract/song/joint-rows.ts'
import { KEPT_SONG_BEGINNING, KeptSongHead } from '../../contract/song/kept-song.ts'
import { beginsLike, replaceOwnFile } from '../../files/write-file.ts'

/** How many takes are kept. */
const SLOTS = 24
/** Largest file; a song of 210 s with eight stages has 4 MB. */
const MAX_BYTES = 16 * 1024 * 1024
/** A longer head keeps nothing; one of twelve stages has about 10 kB. */
const HEAD_BYTES = 65_536
const REST_MS = 2000
/** A measured chain and the packed rows of its joints. */
interface KeptSong {
  readonly song: SongOfChain
  readonly rows: readonly Float32Array<ArrayBuffer>[]
}

export interface KeptSongs {
  /** null where it is not kept, or its file is damaged. */
  read(key: string): Promise<KeptSong | null>
  /** Keeps it once nothing of the take was measured for two seconds and nothing plays. A full disk keeps nothing. */
  keepLater(takeSha256: string, key: string, kept: KeptSong): void
  /** Writes what waits. */
  flush(): void
}

/** Also an empty file, which a disk that failed may leave. */
const isOwn = (head: Uint8Array): boolean => head.length === 0 || beginsLike(KEPT_SONG_BEGINNING)(head)

const hashOf = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex')

/**
 * @param folder of the program's own, in which the files lie
 * @param isPlaying writing waits while it is so, as it holds up what is to be heard
 */
export function createKeptSongs(folder: string, isPlaying: () => boolean): KeptSongs {
  const pathOf = (slot: number): string => join(folder, `song-${String(slot).padStart(2, '0')}.rows`)
  const slots = Array.from({ length: SLOTS }, (_, slot) => slot)
  /** What each slot holds, read from the heads on first use. */
  let held: ({ readonly key: string; readonly takeSha256: string } | null)[] | null = null
  const waiting = new Map<string, { readonly key: string; readonly kept: KeptSong }>()
  let timer: NodeJS.Timeout | null = null

  const heads = (): ({ readonly key: string; readonly takeSha256: string } | null)[] => {
    held ??= slots.map((slot) => {
      const path = pathOf(slot)
      return existsSync(path) ? headIn(headBytesOf(path)) : null
    })
    return held
  }

  const write = (takeSha256: string, key: string, { song, rows }: KeptSong): void => {
    const now = heads()
    if (now.some((one) => one?.key === key)) return
    const body = Buffer.concat(rows.map((one) => Buffer.from(one.buffer, one.byteOffset, one.byteLength)))
    const ageOf = (slot: number): number => statSync(pathOf(slot), { throwIfNoEntry: false })?.mtimeMs ?? 0
    const own = now.findIndex((one) => one?.takeSha256 === takeSha256)
    const slot = own >= 0 ? own : slots.reduce((oldest, one) => (ageOf(one) < ageOf(oldest) ? one : oldest))
    const head: KeptSongHead = {
      format: 'takeloft song rows 1',
      key,
      takeSha256,
      song,
      floats: rows.map(({ length }) => length),
      sha256: hashOf(body),
    }
    const line = Buffer.from(`${JSON.stringify(head)}\n`, 'utf8')
    if (body.byteLength > MAX_BYTES || line.length > HEAD_BYTES) return
    try {
      replaceOwnFile(pathOf(slot), Buffer.concat([line, body]), isOwn)
      now[slot] = { key, takeSha256 }
    } catch {
      // It can be measured again; a cache that cannot be written is no failure of what the user does.
    }
  }

  const flush = (): void => {
    if (timer !== null) clearTimeout(timer)
    timer = null
    for (const [takeSha256, { key, kept }] of waiting) write(takeSha256, key, kept)
    waiting.clear()
  }
  const wait = (): void => {
    if (timer !== null) clearTimeout(timer)
    timer = setTimeout(() => (isPlaying() ? wait() : flush()), REST_MS)
    timer.unref()
  }

  return {
    async read(key) {
      const slot = heads().findIndex((one) => one?.key === key)
      if (slot < 0) return null
      const bytes = await readFile(pathOf(slot)).catch(() => null)
      const song = bytes === null ? null : songIn(bytes, key)
      // Damaged: the next chain of the take takes its place.
      if (song === null) heads()[slot] = { key: '', takeSha256: heads()[slot]?.takeSha256 ?? '' }
      return song
    },
    keepLater(takeSha256, key, kept) {
      waiting.delete(takeSha256)
      waiting.set(takeSha256, { key, kept })
      wait()
    },
    flush,
  }
}

function headBytesOf(path: string): Buffer | null {
  try {
    const file = openInputFile(path)
    try {
      return file.bytes(0, HEAD_BYTES)
    } finally {
      file.close()
    }
  } catch {
    return null
  }
}

function headIn(bytes: Buffer | null): KeptSongHead | null {
  const end = bytes?.indexOf(0x0a) ?? -1
  if (bytes === null || end < 0) return null
  try {
    return KeptSongHead.safeParse(JSON.parse(bytes.toString('utf8', 0, end))).data ?? null
  } catch {
    return null
  }
}

function songIn(bytes: Buffer, key: string): KeptSong | null {
  const head = headIn(bytes)
  if (head === null || head.key !== key) return null
  const body = bytes.subarray(bytes.indexOf(0x0a) + 1)
  const floats = head.floats.reduce((sum, count) => sum + count, 0)
  if (body.byteLength !== 4 * floats || hashOf(body) !== head.sha256) return null
  // Copied, because floats must lie at a multiple of four bytes.
  const all = new Float32Array(Uint8Array.from(body).buffer)
  let at = 0
  const rows = head.floats.map((count) => {
    at += count
    return all.slice(at - count, at)
  })
  return { song: head.song, rows }
}
