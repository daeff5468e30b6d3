// Opens files for the search of phrases and surveys them, for the command line.

import { resolve } from 'node:path'
import { remarksOn } from '../../audio/format-remarks.ts'
import { openAudioFile } from '../../audio/open-audio-file.ts'
import { formatOf, readableTakePath } from '../../audio/open-take-file.ts'
import { refuseManyChannels } from '../../audio/take-channels.ts'
import { Failure } from '../../contract/failure.ts'
import type { SurveyedTake } from '../../dsp/phrases/surveyed-take.ts'
import { melTopHz } from '../../dsp/phrases/voice-frames.ts'
import type { OpenTake } from '../../engine/phrases/follow-guide.ts'
import { surveyFile } from '../../engine/phrases/survey-file.ts'

/** A surveyed file under the name that the user gave. */
export interface NamedTake extends OpenTake {
  readonly name: string
  readonly remarks: readonly string[]
}

interface OpenTakes {
  readonly takes: readonly NamedTake[]
  readonly topHz: number
}

const LOWEST_RATE_HZ = 8000

/**
 * Opens and surveys all files, and closes them behind `act`.
 * @param onProgress receives the share of all surveys; throws to stop
 * @throws Failure of reading; 'not-supported' for more than two channels or a rate under 8 kHz
 */
export async function withSurveyedTakes<T>(
  names: readonly string[],
  scratch: string,
  onProgress: (share: number) => void | Promise<void>,
  act: (opened: OpenTakes) => Promise<T>,
): Promise<T> {
  const opened: { name: string; audio: OpenTake['audio']; remarks: string[] }[] = []
  try {
    for (const [i, name] of names.entries()) {
      const path = resolve(name)
      const audio = openAudioFile(await readableTakePath(path, `take${i}`, scratch, () => onProgress(0)))
      const format = formatOf(path, audio.format)
      opened.push({ name, audio, remarks: remarksOn(name, format) })
      refuseManyChannels(name, format.channels)
      if (format.sampleRateHz < LOWEST_RATE_HZ) {
        throw new Failure(
          'not-supported',
          `${name} has a sample rate of ${format.sampleRateHz} Hz, and phrases need ${LOWEST_RATE_HZ} Hz or more; use the original recording.`,
          { path: name },
        )
      }
    }
    const topHz = melTopHz(opened.map(({ audio }) => audio.format.sampleRateHz))
    const takes: NamedTake[] = []
    for (const [i, take] of opened.entries()) {
      const report = (share: number) => onProgress((i + share) / opened.length)
      takes.push({ ...take, survey: await surveyFile(take.audio, take.name, topHz, report) })
    }
    return await act({ takes, topHz })
  } finally {
    for (const { audio } of opened) audio.close()
  }
}

/** Why a file has no phrases, as a sentence; null where it has some. */
export function whyNoPhrases(name: string, { phrases, doubt }: SurveyedTake): string | null {
  if (phrases.length > 0) return null
  switch (doubt) {
    case 'silent':
      return `${name} has no phrases: it is digital silence.`
    case 'low':
      return `${name} has no phrases: its bass comes and goes with the rest as in music, so it is not one voice.`
    case 'no-pause':
      return `${name} has no phrases: it goes on for 8 s and more without a pause, which a voice does not.`
    case null:
      return `${name} has no phrases: no voice was found in it.`
  }
}
