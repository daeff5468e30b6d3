// An in-memory index of the prints of a session's takes, for the thread that looks for copies among them
// while takes come in one after another. Takes never change, so a print that was read stays valid.

import { createPrintIndex, type PrintIndex } from '../../dsp/check/prints/print-index.ts'
import type { Span } from '../../dsp/maths/span.ts'
import { keptPrint } from './known-take.ts'

/** Takes are identified by the SHA-256 of their bytes. */
export interface PrintQuestion {
  readonly sessionId: number
  /** The new take and its phrases. */
  readonly sha256: string
  readonly phrases: readonly Span[]
  /** The takes that it is compared with. */
  readonly others: readonly string[]
  readonly peaksFolder: string
}

/** Takes that may contain the same performance as a new one. */
export interface PrintCandidates {
  /** Those of the others that may contain the same performance, in the order of the question. */
  readonly candidates: readonly string[]
  /** Takes without a stored print; only the new take if it has none. */
  readonly missing: readonly string[]
  /** Length in bits of the longest print among the others, at the rate of the new take's print. */
  readonly longestBits: number
}

/** The prints of the latest sessions. */
export interface PrintShelf {
  /** @param onProgress receives the fraction done; throws to stop */
  candidates(question: PrintQuestion, onProgress: (fraction: number) => void): PrintCandidates
}

interface ShelvedPrints {
  readonly index: PrintIndex
  /** Length of each print in bits at the rate of the index. */
  readonly bits: Map<string, number>
}

/** Two, because an engineer who looks something up in another session comes back to the first. */
const SESSIONS_HELD = 2

/** Keeps the prints of the sessions used last. */
export function createPrintShelf(): PrintShelf {
  /**
   * Prints of each session by the rate of the new takes' prints, which is nearly always the same; the
   * session used last is the last entry.
   */
  const sessions = new Map<number, Map<number, ShelvedPrints>>()

  const printsOf = (sessionId: number, rateHz: number): ShelvedPrints => {
    const byRate = sessions.get(sessionId) ?? new Map<number, ShelvedPrints>()
    sessions.delete(sessionId)
    sessions.set(sessionId, byRate)
    const [oldest] = sessions.keys()
    if (sessions.size > SESSIONS_HELD && oldest !== undefined) sessions.delete(oldest)
    const held = byRate.get(rateHz) ?? { index: createPrintIndex(rateHz), bits: new Map() }
    byRate.set(rateHz, held)
    return held
  }

  return {
    candidates({ sessionId, sha256, phrases, others, peaksFolder }, onProgress) {
      const print = keptPrint(peaksFolder, sha256)
      if (print === null) return { candidates: [], missing: [sha256], longestBits: 0 }
      const { index, bits } = printsOf(sessionId, print.rateHz)
      const missing: string[] = []
      for (const [i, other] of others.entries()) {
        if (index.has(other)) continue
        onProgress(i / others.length)
        const kept = keptPrint(peaksFolder, other)
        if (kept === null) {
          missing.push(other)
          continue
        }
        index.add(other, kept)
        bits.set(other, Math.ceil((kept.length * print.rateHz) / kept.rateHz))
      }
      const wanted = new Set(others)
      const found = new Set(index.search(print, phrases, (key) => wanted.has(key)))
      return {
        candidates: others.filter((other) => found.has(other)),
        missing,
        longestBits: others.reduce((most, other) => Math.max(most, bits.get(other) ?? 0), 0),
      }
    },
  }
}
