// The lines of the ledger in words.

import type { LedgerEntry } from '../contract/entities.ts'
import { deliveryChangesWords, versionWord } from './deliveries.ts'
import { conflictWords } from './history.ts'
import { CHECK_WORDS } from './missing-takes.ts'
import { countOf, rate } from './numbers.ts'

/** A line of the ledger in words. */
export interface LedgerWords {
  readonly kind: string
  /** What the line is about: a take's name, a chain's name and version, a song. */
  readonly subject: string
  /** Empty where there is nothing to add. */
  readonly detail: string
}

/** Plain ASCII apart from names. */
export function ledgerWords(entry: LedgerEntry): LedgerWords {
  switch (entry.kind) {
    case 'take-imported': {
      const { takeName, sampleRateHz, channels, frames, micName } = entry
      const sound = [rate(sampleRateHz), channelWords(channels), length(frames / sampleRateHz)]
      return {
        kind: 'take imported',
        subject: takeName,
        detail: [...sound, micName ?? 'mic not named'].join(', '),
      }
    }
    case 'session-created':
      return {
        kind: 'session created',
        subject: entry.songTitle,
        detail: `${entry.date}, ${rate(entry.sampleRateHz)}`,
      }
    case 'chain-version-saved':
      return {
        kind: 'chain version saved',
        subject: `${entry.chainName}, version ${entry.version}${entry.toldApartBy == null ? '' : ` · ${entry.toldApartBy}`}`,
        detail: entry.note,
      }
    case 'artist-created':
      return { kind: 'artist created', subject: entry.artistName, detail: '' }
    case 'voice-created':
      return { kind: 'voice created', subject: entry.voiceName, detail: '' }
    case 'song-created':
      return { kind: 'song created', subject: entry.songTitle, detail: '' }
    case 'entity-changed':
      return {
        kind: `${entry.entity} ${entry.change}`,
        subject: entry.change === 'renamed' ? entry.otherName : entry.name,
        detail:
          entry.change === 'renamed'
            ? `before: ${entry.name}`
            : entry.change === 'merged'
              ? `into ${entry.otherName}`
              : '',
      }
    case 'history-merged':
      return {
        kind: 'history merged',
        subject: entry.name,
        detail: [`${entry.added} new`, ...entry.conflicts.map(conflictWords)].join('; '),
      }
    case 'take-checked':
      return { kind: 'take checked', subject: entry.takeName, detail: CHECK_WORDS[entry.result] }
    case 'archived':
    case 'restored':
      return {
        kind: entry.kind,
        subject: entry.songTitle,
        detail: `${countOf(entry.takes, 'take')}, ${entry.path}`,
      }
    case 'bounced':
      return {
        kind: 'bounced',
        subject: partWords(entry),
        detail: `${countOf(entry.stems, 'stem')}, ${entry.manifestPath}`,
      }
    case 'delivered':
      return {
        kind: 'delivered',
        subject: `${entry.songTitle}, ${versionWord(entry.number)}`,
        detail: `${deliveryChangesWords(entry.number, entry.changes)}; ${countOf(entry.files, 'file')}, ${entry.folder}`,
      }
  }
}

/** As in 'Night Train, Hook'; the song alone where the bounce has all of it. */
export const partWords = ({
  songTitle,
  part,
}: {
  readonly songTitle: string
  readonly part: string
}): string => (part === '' ? songTitle : `${songTitle}, ${part}`)

const channelWords = (channels: number): string =>
  channels === 1 ? 'mono' : channels === 2 ? 'stereo' : `${channels} channels`

/** Whole minutes and seconds, rounded down: '1:15'. */
function length(seconds: number): string {
  const whole = Math.floor(seconds)
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`
}
