// JSON from outside, scanned before it is built: a few megabytes of brackets become
// gigabytes of objects, and no chain, manifest or message has so many.

import { Failure } from '../failure.ts'
import { MAX_JSON_CONTAINERS, MAX_JSON_DEPTH, MAX_JSON_MEMBERS, MAX_JSON_VALUES } from './limits.ts'

/**
 * @param where what to call the source in a failure
 * @param name what it should be: 'chain'
 * @param wanted what to choose instead: 'a chain file that Takeloft saved'
 * @throws Failure `invalid-input` for text that is not JSON or is larger than allowed
 */
export function readJsonText(text: string, where: string, name: string, wanted: string): unknown {
  if (!isBoundedJson(text)) {
    throw new Failure('invalid-input', `${where} contains more than a ${name} can; choose ${wanted}.`, {
      where,
    })
  }
  try {
    return JSON.parse(text)
  } catch {
    throw new Failure('invalid-input', `${where} is not JSON and so not a ${name}; choose ${wanted}.`, {
      where,
    })
  }
}

const QUOTE = 0x22
const COMMA = 0x2c
const OPEN_ARRAY = 0x5b
const BACKSLASH = 0x5c
const CLOSE_ARRAY = 0x5d
const OPEN_OBJECT = 0x7b
const CLOSE_OBJECT = 0x7d

/** Whether what JSON.parse would build of a text stays within the limits; says nothing about whether it is JSON. */
export function isBoundedJson(text: string): boolean {
  // Members still allowed in each container that is open.
  const left: number[] = []
  let containers = 0
  let values = 0
  for (let i = 0; i < text.length; i++) {
    switch (text.charCodeAt(i)) {
      case QUOTE:
        i = endOfString(text, i + 1)
        break
      case COMMA:
        if (++values > MAX_JSON_VALUES) return false
        if (left.length > 0 && --left[left.length - 1] < 0) return false
        break
      case OPEN_ARRAY:
        left.push(MAX_JSON_VALUES)
        if (++containers > MAX_JSON_CONTAINERS || left.length > MAX_JSON_DEPTH) return false
        break
      case OPEN_OBJECT:
        left.push(MAX_JSON_MEMBERS)
        if (++containers > MAX_JSON_CONTAINERS || left.length > MAX_JSON_DEPTH) return false
        break
      case CLOSE_ARRAY:
      case CLOSE_OBJECT:
        left.pop()
        break
    }
  }
  return true
}

/** Index of the quote that ends a string, or of the end where there is none. */
function endOfString(text: string, from: number): number {
  for (let i = from; i < text.length; i++) {
    const code = text.charCodeAt(i)
    if (code === QUOTE) return i
    if (code === BACKSLASH) i++
  }
  return text.length
}
