// What merging a history into a catalogue does: what is new, what differs, and what has to be asked.

import { z } from 'zod'
import { Id } from '../entities.ts'
import { listOf } from '../text/bounded.ts'
import { MAX_TOGETHER } from '../text/limits.ts'
import { HistoryConflict, HistoryItem } from './conflict.ts'
import { Uuid } from './history.ts'

/** An artist of the history whose name one or more artists here have under another identity. */
export const HistoryQuestion = z.object({
  artist: Uuid,
  name: z.string(),
  here: z.array(z.object({ id: Id, name: z.string() })),
})
export type HistoryQuestion = z.infer<typeof HistoryQuestion>

/** Answers to questions: the artist here who is the same, or null for another of the same name. */
export const HistoryAnswers = listOf(z.object({ artist: Uuid, same: Id.nullable() }), MAX_TOGETHER)
export type HistoryAnswers = z.infer<typeof HistoryAnswers>

/** What a merge does, or did. */
export const HistoryMerge = z.object({
  /** Names of the voices in the history. */
  voices: z.array(z.string()),
  added: z.array(HistoryItem),
  /** Names and notes that are newer in the history. */
  changed: z.array(HistoryItem),
  conflicts: z.array(HistoryConflict),
  /** Nothing is merged while one is open. */
  questions: z.array(HistoryQuestion),
})
export type HistoryMerge = z.infer<typeof HistoryMerge>
