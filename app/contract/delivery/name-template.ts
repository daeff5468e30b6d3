// Templates for the names of delivered files: text with tokens in braces.

import { z } from 'zod'
import { nameable } from '../text/bounded.ts'

/** The tokens of a template; a file without such a property leaves the token out. */
export const NAME_TOKENS = [
  'artist',
  'initials',
  'song',
  'date',
  'part',
  'layer',
  'role',
  'take',
  'kind',
  'ver',
  'rate',
  'depth',
  'n',
] as const
export type NameToken = (typeof NAME_TOKENS)[number]

/**
 * Initials, title, part, what it is with the number of the delivery, rate and depth, joined by underscores: after
 * the file naming of the Recording Academy's Producers and Engineers Wing (2018 edition, read in a summary).
 */
export const DEFAULT_TEMPLATE = '{initials}_{song}_{part}_{kind}{ver}_{rate}{depth}'

/** Longer ones cannot give a file name. */
const MAX_TEMPLATE = 200

/** What is wrong with a template, as the end of a sentence; null if nothing is. */
export function templateFault(template: string): string | null {
  const rest = template.replaceAll(/\{([^{}]*)\}/g, (whole, token: string) =>
    (NAME_TOKENS as readonly string[]).includes(token) ? '' : whole,
  )
  const unknown = /\{([^{}]*)\}/.exec(rest)
  if (unknown !== null) {
    return `there is no token {${unknown[1]}}; the tokens are ${NAME_TOKENS.map((one) => `{${one}}`).join(' ')}`
  }
  if (/[{}]/.test(rest)) return 'a brace without its partner is left in it'
  if (rest === template && !/[A-Za-z0-9]/.test(rest)) return 'it has neither a token nor a letter or digit'
  return null
}

/** A template as typed. */
export const NameTemplate = nameable(z.string().max(MAX_TEMPLATE)).superRefine((template, context) => {
  const fault = templateFault(template)
  if (fault !== null) context.addIssue({ code: 'custom', message: `the template cannot be used: ${fault}` })
})
