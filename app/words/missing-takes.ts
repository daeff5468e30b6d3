// Sentences on takes whose bytes are not where they were.

import type { TakeAbsence, TakeCheckResult } from '../contract/entities.ts'

/** Why one take is missing, as a few words beside its path. */
export const ABSENCE_WORDS: Readonly<Record<TakeAbsence, string>> = {
  missing: 'not there',
  changed: 'what is there is not the take',
}

/** What reading a take's file again showed. */
export const CHECK_WORDS: Readonly<Record<TakeCheckResult, string>> = {
  sound: 'its file has the bytes of its import again',
  rot: 'its file is damaged: other bytes than at its import, and by its time stamp nothing has written to it',
  edited: 'its file was written to or replaced since its import',
  missing: 'its file is not there: moved, renamed, or on a disk that is not connected',
  unreadable: 'its file is there and cannot be read; check the disk',
}

/** What has become of the files, a sentence for each state that occurs. */
export function missingTakesWords(states: readonly TakeAbsence[]): string {
  const missing = states.filter((state) => state === 'missing').length
  const changed = states.length - missing
  const sentences = []
  if (missing > 0) {
    sentences.push(
      `The ${missing === 1 ? 'file of 1 take is' : `files of ${missing} takes are`} not where ${missing === 1 ? 'it was' : 'they were'}: moved, renamed, or on a disk that is not connected.`,
    )
  }
  if (changed > 0) {
    sentences.push(
      changed === 1
        ? 'What is in the place of 1 take is not the take: it was replaced or written to.'
        : `What is in the places of ${changed} takes is not the takes: they were replaced or written to.`,
    )
  }
  return sentences.join(' ')
}

/** The same on one line: '1 take is missing: its file is not where it was.' */
export function missingTakesLine(states: readonly TakeAbsence[]): string {
  const count = states.length
  const changed = states.filter((state) => state === 'changed').length
  const isOne = count === 1
  const why =
    changed === 0
      ? `${isOne ? 'its file is' : 'their files are'} not where ${isOne ? 'it was' : 'they were'}`
      : changed === count
        ? `what is in ${isOne ? 'its place is not the take' : 'their places is not the takes'}`
        : `${count - changed} not where ${count - changed === 1 ? 'it was' : 'they were'}, ${changed} replaced by something else`
  return `${isOne ? '1 take is' : `${count} takes are`} missing: ${why}.`
}

/** Missing takes that a sentence names; more are counted. */
const MAX_NAMED = 5

/** The first names, and how many more there are: 'Lead, Double and 3 more'. */
export function firstNames(names: readonly string[]): string {
  const more = names.length > MAX_NAMED ? ` and ${names.length - MAX_NAMED} more` : ''
  return `${names.slice(0, MAX_NAMED).join(', ')}${more}`
}
