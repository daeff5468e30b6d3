// Markers in the files of a session's layers, at their places in the session.

import type { FileMarker } from '../../audio/markers/file-marker.ts'
import { readFileMarkers } from '../../audio/markers/file-markers.ts'
import { Failure } from '../../contract/failure.ts'
import { MAX_SECTIONS, SectionFields } from '../../contract/sections/section.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import { catalogueRoot, locateTakes } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'

export function fileMarkerHandlers({
  catalogue,
  verifiedFiles,
}: Workplace): Pick<Handlers, 'listFileMarkers'> {
  return {
    async listFileMarkers({ sessionId }) {
      const { sampleRateHz } = catalogue.sessions.get(sessionId)
      const layers = catalogue.layers.listOfSession(sessionId)
      const placed = catalogue.takes
        .listOfSession(sessionId)
        .filter((take) => layers.some(({ takeId }) => takeId === take.id))
      const { found } = await locateTakes(verifiedFiles, catalogueRoot(catalogue.path), placed)
      const markers = found.flatMap(({ take, path }) => {
        // A take that is placed twice has its markers where it is first.
        const { offsetSamples } = layers.find(({ takeId }) => takeId === take.id)!
        const rate = sampleRateHz / take.sampleRateHz
        return markersIn(path)
          .filter(({ frame }) => frame <= take.frames)
          .map(({ name, note, frame, frames }, i) =>
            SectionFields.safeParse({
              name: name === '' ? `Marker ${i + 1}` : name.slice(0, 200),
              startSamples: offsetSamples + Math.round(frame * rate),
              lengthSamples: Math.round(Math.min(frames, take.frames - frame) * rate),
              note: note.slice(0, 10_000),
            }),
          )
          .flatMap(({ data }) => data ?? [])
          .map((fields) => ({ ...fields, takeName: take.name }))
      })
      const seen = new Set<string>()
      return markers
        .filter(({ name, startSamples }) => {
          const key = `${startSamples} ${name}`
          return !seen.has(key) && seen.add(key) !== undefined
        })
        .slice(0, MAX_SECTIONS)
    },
  }
}

/** A file that became unreadable has no markers; playing and bouncing it say why. */
function markersIn(path: string): FileMarker[] {
  try {
    return readFileMarkers(path)
  } catch (error) {
    if (error instanceof Failure) return []
    throw error
  }
}
