// Parts of schemas that apply the limits.

import { z } from 'zod'
import { HIGHEST_RATE_HZ, LOWEST_RATE_HZ, MAX_NAME } from './limits.ts'

/** Hz, within what the program supports. */
export const SampleRate = z.int().min(LOWEST_RATE_HZ).max(HIGHEST_RATE_HZ)

/**
 * A list whose length is checked before its members: zod's own array check parses every member
 * first, which takes seconds for millions of them.
 */
export const listOf = <S extends z.ZodType>(
  member: S,
  most: number,
  least = 0,
): z.ZodType<z.output<S>[], z.input<S>[]> => {
  const within = <A extends z.ZodArray>(list: A): A =>
    least > 0 ? list.min(least).max(most) : list.max(most)
  // The input type is that of the members, as with a plain array.
  return within(z.array(z.unknown())).pipe(within(z.array(member))) as unknown as z.ZodType<
    z.output<S>[],
    z.input<S>[]
  >
}

const mustBeWellFormed = z.refine<string>((text) => text.isWellFormed(), {
  message: 'the text contains half of a surrogate pair',
})

/** Text that has a UTF-8 encoding, and so can be stored and hashed. */
export const wellFormed = (most: number) => z.string().max(most).check(mustBeWellFormed)

/** For a path, or a name that may become part of one: no file system allows the NUL character. */
export const nameable = (text: z.ZodString): z.ZodString =>
  text.check(mustBeWellFormed).refine((name) => !name.includes('\0'), {
    message: 'the text contains the character NUL, which no name can have',
  })

/** Spaces of no width, fillers that look empty, and controls that turn the direction of all that follows. */
const UNSEEN = /[\u200B\u2060\uFEFF\u2800\u3164\u115F\u1160\u180E\u202A-\u202E\u2066-\u2069]/gu
/** Line breaks, tabs and other controls. */
const CONTROLS = /[\p{Cc}\p{Zl}\p{Zp}]+/gu
/** Joiners show only between other characters. */
const SEEN = /[^\s\u200C\u200D]/u

const cleanName = (text: string): string =>
  text
    .normalize('NFC')
    // NUL stays, to be refused.
    .replaceAll(CONTROLS, (run) => (run.includes('\0') ? run : ' '))
    .replaceAll(UNSEEN, '')
    .trim()

/**
 * A name as typed, composed (Unicode NFC) and without what cannot be seen, so that equal names are equal and none
 * looks empty or disturbs the text around it.
 */
export const Name = nameable(
  z.string().overwrite(cleanName).regex(SEEN, 'a name cannot be empty').max(MAX_NAME),
)
