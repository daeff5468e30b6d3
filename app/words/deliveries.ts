// What changed between two deliveries, in words.

import type { DeliveryChange } from '../contract/delivery/delivery-change.ts'
import { exactNumber } from './format.ts'
import { rate } from './numbers.ts'

const value = (one: DeliveryChange['from'], unit = ''): string =>
  one === null || one === '' ? 'none' : typeof one === 'number' ? `${exactNumber(one)}${unit}` : one

const fromTo = (what: string, { from, to }: DeliveryChange, unit = ''): string =>
  `${what} from ${value(from, unit)} to ${value(to, unit)}`

const depth = (one: DeliveryChange['from']): string => DEPTHS[String(one)] ?? String(one)
const DEPTHS: Readonly<Record<string, string>> = {
  'pcm-16': '16-bit',
  'pcm-24': '24-bit',
  'float-32': '32-bit float',
}

const pan = (one: DeliveryChange['from']): string => {
  const percent = Math.round(Math.abs(Number(one)) * 100)
  return percent === 0 ? 'centre' : `${Number(one) < 0 ? 'left' : 'right'} ${percent}`
}

const section = (one: DeliveryChange['from']): string => (one === '' ? 'the whole song' : String(one))

/** One change as part of a sentence, without a full stop. */
function deliveryChangeWords(change: DeliveryChange): string {
  const { kind, name, from, to } = change
  switch (kind) {
    case 'chain': {
      const of = name === '' ? 'the shared chain' : `chain of ${name}`
      return from === to ? `${of}: ${value(to)}, other settings` : fromTo(of, change)
    }
    case 'group-added':
      return `group ${name} added`
    case 'group-removed':
      return `group ${name} removed`
    case 'group-gain':
      return fromTo(`gain of group ${name}`, change, ' dB')
    case 'layer-added':
      return `layer ${name} added`
    case 'layer-removed':
      return `layer ${name} removed`
    case 'layer-take':
      return fromTo(`take of ${name}`, change)
    case 'layer-gain':
      return fromTo(`gain of ${name}`, change, ' dB')
    case 'layer-pan':
      return `pan of ${name} from ${pan(from)} to ${pan(to)}`
    case 'layer-polarity':
      return `polarity of ${name} ${to === 1 ? 'inverted' : 'not inverted any more'}`
    case 'layer-offset':
      return `${name} moved by ${exactNumber(Number(to) - Number(from))} samples`
    case 'section-added':
      return `section ${name} added`
    case 'section-removed':
      return `section ${name} removed`
    case 'section-moved':
      return `section ${name} moved`
    case 'tempo':
      return fromTo('tempo', change)
    case 'range':
      return `range from ${section(from)} to ${section(to)}`
    case 'contents':
      return fromTo('contents', change)
    case 'template':
      return fromTo('names', change)
    case 'rate':
      return `rate from ${rate(Number(from))} to ${rate(Number(to))}`
    case 'depth':
      return `depth from ${depth(from)} to ${depth(to)}`
    case 'program':
      return fromTo('program', change)
  }
}

/** All changes in one sentence. */
export function deliveryChangesWords(number: number, changes: readonly DeliveryChange[]): string {
  if (number === 1) return 'first delivery'
  if (changes.length === 0) return `no change since version ${number - 1}`
  return `since version ${number - 1}: ${changes.map(deliveryChangeWords).join('; ')}`
}

/** 'v03'. */
export const versionWord = (number: number): string => `v${String(number).padStart(2, '0')}`
