// Reads external JSON. Scans it before parsing, because a few megabytes of brackets would become gigabytes
// of objects; no chain, manifest or message needs that many.

import { Failure } from '../failure.ts'
import { MAX_JSON_CONTAINERS, MAX_JSON_DEPTH, MAX_JSON_MEMBERS, MAX_JSON_VALUES } from './limits.ts'

/**
 * @param where what to call the source in a failure
 * @param name what it should be: 'chain'
 * @param wanted what to choose instead: 'a chain file that Takeloft saved'
 * @param limits other than those of chains, manifests and messages
 * @throws Failure `invalid-input` for text that is not JSON or is larger than allowed
 */
export function readJsonText(
  text: string,
  where: string,
  name: string,
  wanted: string,
  limits: JsonLimits = USUAL_LIMITS,
): unknown {
  const seen = scan(text, limits)
  if (seen === 'too-much') {
    throw new Failure('invalid-input', `${where} contains more than a ${name} can; choose ${wanted}.`, {
      where,
    })
  }
  let value: unknown
  try {
    value = JSON.parse(text)
  } catch {
    throw new Failure('invalid-input', `${where} is not JSON and so not a ${name}; choose ${wanted}.`, {
      where,
    })
  }
  // JSON.parse keeps the last of duplicate keys; other programs may differ or fail (RFC 8259, section 4).
  if (seen !== null) {
    throw new Failure(
      'invalid-input',
      `${where} has "${seen.duplicateKey.slice(0, MAX_QUOTED)}" twice in one object, so it is unclear which one is meant; remove one of the two.`,
      { where },
    )
  }
  return value
}

/** How many values, and how many objects and lists, a text may have. */
export interface JsonLimits {
  readonly values: number
  readonly containers: number
}

const USUAL_LIMITS: JsonLimits = { values: MAX_JSON_VALUES, containers: MAX_JSON_CONTAINERS }

const MAX_QUOTED = 60

/** Whether what JSON.parse would build stays within the limits; does not check that the text is JSON. */
export const isBoundedJson = (text: string): boolean => scan(text, USUAL_LIMITS) !== 'too-much'

const QUOTE = 0x22
const COMMA = 0x2c
const COLON = 0x3a
const OPEN_ARRAY = 0x5b
const BACKSLASH = 0x5c
const CLOSE_ARRAY = 0x5d
const OPEN_OBJECT = 0x7b
const CLOSE_OBJECT = 0x7d

/** Whether the text exceeds the limits, or the first duplicate key of an object; null for neither. */
function scan(text: string, limits: JsonLimits): 'too-much' | { readonly duplicateKey: string } | null {
  // For each open container, the members still allowed, and the keys so far if it is an object.
  const left: number[] = []
  const keys: (Set<string> | null)[] = []
  let containers = 0
  let values = 0
  let lastString = ''
  let duplicateKey: string | null = null
  for (let i = 0; i < text.length; i++) {
    switch (text.charCodeAt(i)) {
      case QUOTE: {
        const end = endOfString(text, i + 1)
        lastString = text.slice(i, end + 1)
        i = end
        break
      }
      case COLON: {
        const known = keys.at(-1)
        if (known == null || duplicateKey !== null) break
        const key = unescaped(lastString)
        if (known.has(key)) duplicateKey = key
        known.add(key)
        break
      }
      case COMMA:
        if (++values > limits.values) return 'too-much'
        if (left.length > 0 && --left[left.length - 1] < 0) return 'too-much'
        break
      case OPEN_ARRAY:
        left.push(limits.values)
        keys.push(null)
        if (++containers > limits.containers || left.length > MAX_JSON_DEPTH) return 'too-much'
        break
      case OPEN_OBJECT:
        left.push(MAX_JSON_MEMBERS)
        keys.push(new Set())
        if (++containers > limits.containers || left.length > MAX_JSON_DEPTH) return 'too-much'
        break
      case CLOSE_ARRAY:
      case CLOSE_OBJECT:
        left.pop()
        keys.pop()
        break
    }
  }
  return duplicateKey === null ? null : { duplicateKey }
}

/** The value of a quoted JSON string, so that "\u0061" and "a" are the same key. */
function unescaped(text: string): string {
  if (!text.includes('\\')) return text.slice(1, -1)
  try {
    return String(JSON.parse(text))
  } catch {
    // Not JSON, which JSON.parse of the whole text reports.
    return text
  }
}

/** Index of the closing quote of a string, or the length of the text if there is none. */
function endOfString(text: string, from: number): number {
  for (let i = from; i < text.length; i++) {
    const code = text.charCodeAt(i)
    if (code === QUOTE) return i
    if (code === BACKSLASH) i++
  }
  return text.length
}
