// Sound and pictures are sent over HTTP instead of messages. One function handles these requests, both for
// the loopback server and for Electron's protocol.

import { readFile } from 'node:fs/promises'
import { basename, join } from 'node:path'
import { decodePeaks } from '../../audio/peaks.ts'
import { Failure, failureDataOf } from '../../contract/failure.ts'
import { ensureFolder, PRIVATE_FOLDER_MODE } from '../../files/ensure-folder.ts'
import { createNewFolder } from '../../files/new-folder.ts'
import { streamToFileInside } from '../../files/stream-to-file.ts'
import type { Workplace } from '../workplace.ts'
import { keepPicture, pictureOf } from './pictures.ts'

/** The most frames of one span: one second at the highest session rate. */
const MAX_SPAN_FRAMES = 96_000

/** undefined: not one of these routes. */
export type SoundRoutes = (request: Request) => Promise<Response> | undefined

/** Answers requests for spans of playbacks, outlines of takes and rows along the song. */
export function createSoundRoutes(workplace: Workplace): SoundRoutes {
  return (request) => {
    const path = new URL(request.url).pathname
    const playback = /^\/playback\/([\w-]+)\/(-?\d+)\/(\d+)$/.exec(path)
    if (playback !== null && request.method === 'GET') {
      return answer(() => spanOf(workplace, playback[1], Number(playback[2]), Number(playback[3])))
    }
    const peaks = /^\/peaks\/(\d+)$/.exec(path)
    if (peaks !== null && request.method === 'GET') return answer(() => peaksOf(workplace, Number(peaks[1])))
    const rows = /^\/rows\/([0-9a-f]{64})$/.exec(path)
    if (rows !== null && request.method === 'GET') return Promise.resolve(rowsOf(workplace, rows[1]))
    const incoming = /^\/incoming\/([^/]+)$/.exec(path)
    if (incoming !== null && request.method === 'PUT') {
      return answer(() => takeInBytes(workplace, incoming[1], request))
    }
    const picture = /^\/pictures\/([^/]+)$/.exec(path)
    if (picture !== null && request.method === 'PUT') {
      return answer(() => keepPicture(workplace, nameIn(picture[1]) || 'The picture', request))
    }
    if (picture !== null && request.method === 'GET' && /^[0-9a-f]{64}$/.test(picture[1])) {
      return answer(() => pictureOf(workplace, picture[1]))
    }
    return undefined
  }
}

/** Turns a failure into a JSON response. */
async function answer(make: () => Promise<Response>): Promise<Response> {
  try {
    return await make()
  } catch (error) {
    return Response.json(failureDataOf(error), { status: error instanceof Failure ? 422 : 500 })
  }
}

async function spanOf(
  { playback }: Workplace,
  playbackId: string,
  fromFrame: number,
  frames: number,
): Promise<Response> {
  if (frames < 1 || frames > MAX_SPAN_FRAMES || !Number.isSafeInteger(fromFrame)) {
    throw new Failure('invalid-input', `A span has 1 to ${MAX_SPAN_FRAMES} frames.`, { frames })
  }
  const samples = await playback.ask('span', { playbackId, fromFrame, frames })
  return new Response(samples, {
    headers: { 'content-type': 'application/octet-stream', 'cache-control': 'no-store' },
  })
}

async function peaksOf({ catalogue, folders }: Workplace, takeId: number): Promise<Response> {
  const take = catalogue.takes.get(takeId)
  const stored = await readFile(join(folders.peaks, `${take.sha256}.peaks`)).catch(() => {
    throw new Failure(
      'not-found',
      `The outline of ${take.name} is missing; import the take again to draw it.`,
    )
  })
  const peaks = decodePeaks(stored)
  return new Response(new Blob(peaks.channels.map((channel) => new Int16Array(channel))), {
    headers: {
      'content-type': 'application/octet-stream',
      'x-channels': String(peaks.channels.length),
      'x-frames-per-peak': String(peaks.framesPerPeak),
      // Takes never change, so neither does their outline.
      'cache-control': 'private, max-age=31536000, immutable',
    },
  })
}

function rowsOf({ songRows }: Workplace, key: string): Response {
  const rows = songRows.read(key)
  if (rows === null) return new Response(null, { status: 404 })
  return new Response(rows, {
    headers: {
      'content-type': 'application/octet-stream',
      // The key is made of all that the rows depend on.
      'cache-control': 'private, max-age=31536000, immutable',
    },
  })
}

/** Stores a dropped file under its own name, in its own folder, until an import uses it. */
async function takeInBytes(
  { catalogue, folders, sentFiles }: Workplace,
  encodedName: string,
  request: Request,
): Promise<Response> {
  const name = nameIn(encodedName)
  if (name === '' || name.startsWith('.') || request.body === null) {
    throw new Failure('invalid-input', 'That file has no usable name or no contents.')
  }
  ensureFolder(folders.incoming, PRIVATE_FOLDER_MODE)
  const fresh = createNewFolder(folders.incoming, PRIVATE_FOLDER_MODE)
  try {
    await streamToFileInside(join(fresh.path, name), request.body as AsyncIterable<Uint8Array>)
    return Response.json({ path: sentFiles.add(fresh.commitForNow(catalogue.path), name) })
  } finally {
    fresh.discard()
  }
}

/** The last path segment of a percent-encoded name; empty when it cannot be decoded. */
function nameIn(encodedName: string): string {
  try {
    return basename(decodeURIComponent(encodedName).replaceAll('\\', '/'))
  } catch {
    return ''
  }
}
