// Where and how the samples are stored in a file with uncompressed sound, and the checks that
// all containers share: supported rate and channels, and no sound missing.

import { Failure } from '../contract/failure.ts'
import { HIGHEST_RATE_HZ, LOWEST_RATE_HZ, MAX_SOUND_SECONDS } from '../contract/text/limits.ts'
import type { AudioFormat } from './audio-source.ts'

/** Where the samples of an uncompressed file are and how they are stored. */
export interface PcmLayout {
  readonly format: AudioFormat
  readonly dataStartByte: number
  /** Bytes of one frame: all channels. */
  readonly frameBytes: number
  readonly byteOrder: 'little' | 'big'
  /** 8-bit samples are offset by 128 in WAVE and signed in AIFF. */
  readonly unsigned8: boolean
}

const MAX_CHANNELS = 32

const ENCODING_BY_BYTES: Readonly<Record<number, AudioFormat['encoding']>> = {
  1: 'pcm-8',
  2: 'pcm-16',
  3: 'pcm-24',
  4: 'pcm-32',
}

/** The integer encoding that fills this many bytes per sample, or null. */
export function pcmEncodingOfBytes(sampleBytes: number): AudioFormat['encoding'] | null {
  return ENCODING_BY_BYTES[sampleBytes] ?? null
}

/**
 * @throws Failure 'damaged' for 0 channels or a rate that is not a positive number, 'not-supported' beyond
 *   32 channels, outside the rates of limits.ts or for a fractional rate
 */
export function checkRateAndChannels(path: string, sampleRateHz: number, channels: number): void {
  const details = { path, sampleRateHz, channels }
  if (channels === 0) {
    throw new Failure(
      'damaged',
      `${path} is damaged: its header says 0 channels; export the recording again.`,
      details,
    )
  }
  if (channels > MAX_CHANNELS) {
    throw new Failure(
      'not-supported',
      `${path} has ${channels} channels; at most ${MAX_CHANNELS} can be read, export fewer into one file.`,
      details,
    )
  }
  // The 80-bit float of AIFF can be infinity or NaN.
  if (!Number.isFinite(sampleRateHz)) {
    throw new Failure(
      'damaged',
      `${path} is damaged: its header does not say a sample rate; export the recording again.`,
      { path, channels },
    )
  }
  if (!(sampleRateHz > 0)) {
    throw new Failure(
      'damaged',
      `${path} is damaged: its header says a sample rate of ${sampleRateHz} Hz; export the recording again.`,
      details,
    )
  }
  const isInRange = sampleRateHz >= LOWEST_RATE_HZ && sampleRateHz <= HIGHEST_RATE_HZ
  if (!isInRange || !Number.isInteger(sampleRateHz)) {
    throw new Failure(
      'not-supported',
      `${path} has a sample rate of ${sampleRateHz} Hz; whole rates from ${LOWEST_RATE_HZ} to ${HIGHEST_RATE_HZ} Hz can be read, export it at one of them.`,
      details,
    )
  }
}

/**
 * Number of frames that are there of the `promisedBytes` from `startByte` on, and that were promised. A
 * recording that is cut short can be used up to where it ends.
 * @param promisedBytes null where the header does not give a length: then all up to `endByte` is sound
 * @param endByte where the sound must end at the latest: the end of the file or of a chunk
 * @throws Failure 'damaged' if not one whole frame of those promised is there, 'empty' if none is promised,
 *   'not-supported' for more than a day
 */
export function checkedFrames(
  path: string,
  startByte: number,
  endByte: number,
  promisedBytes: number | null,
  frameBytes: number,
  sampleRateHz: number,
): Pick<AudioFormat, 'frames' | 'promisedFrames'> {
  const presentBytes = Math.max(0, Math.min(endByte - startByte, promisedBytes ?? Infinity))
  const frames = Math.floor(presentBytes / frameBytes)
  const promisedFrames = promisedBytes === null ? null : Math.floor(promisedBytes / frameBytes)
  if (promisedFrames === 0 || (promisedFrames === null && frames === 0)) throw emptyFailure(path)
  if (promisedFrames !== null && frames === 0) throw nothingLeft(path, promisedFrames / sampleRateHz)
  refuseTooLong(path, frames, sampleRateHz)
  return { frames, promisedFrames }
}

/** The Failure for a recording of which not one frame is there. */
export function nothingLeft(path: string, promisedSeconds: number): Failure {
  return new Failure(
    'damaged',
    `${path} is cut short: its header promises ${promisedSeconds.toFixed(2)} s and none of it can be read; copy it again from its source.`,
    { path, promisedSeconds },
  )
}

/** @throws Failure 'not-supported' for more than a day of sound */
export function refuseTooLong(path: string, frames: number, sampleRateHz: number): void {
  if (frames <= MAX_SOUND_SECONDS * sampleRateHz) return
  const hours = frames / sampleRateHz / 3600
  throw new Failure(
    'not-supported',
    `${path} is ${hours.toFixed(1)} hours long, and at most ${MAX_SOUND_SECONDS / 3600} can be read; cut it into shorter files.`,
    { path, hours },
  )
}

/** The Failure for a header followed by no sound. */
export function emptyFailure(path: string): Failure {
  return new Failure('empty', `${path} has a header and no sound; record or export it again.`, { path })
}
