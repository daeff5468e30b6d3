// Input fields have the bounds of the contract, and no component hard-codes one of them.

import { globSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import { Band, ProximityShelf, STARTING_PROXIMITY } from '../../../app/contract/chain-document.ts'
import { GroupFields, LayerFields, SessionFields } from '../../../app/contract/entities.ts'
import {
  BAND_BOUNDS,
  BEATS_BOUNDS,
  type Bounds,
  boundsOf,
  GROUP_GAIN_BOUNDS,
  LAYER_GAIN_BOUNDS,
  OFFSET_BOUNDS,
  PAN_BOUNDS,
  PROXIMITY_BOUNDS,
  TEMPO_BOUNDS,
} from '../../../renderer/formats/bounds.ts'

const band = { shape: 'bell', frequencyHz: 1000, gainDb: 0, q: 1 }

const CASES: readonly [string, Bounds, (value: number) => boolean][] = [
  ['tempo', TEMPO_BOUNDS, (value) => SessionFields.shape.tempoBpm.safeParse(value).success],
  ['beats', BEATS_BOUNDS, (value) => SessionFields.shape.beatsPerBar.safeParse(value).success],
  ['group gain', GROUP_GAIN_BOUNDS, (value) => GroupFields.shape.gainDb.safeParse(value).success],
  ['layer gain', LAYER_GAIN_BOUNDS, (value) => LayerFields.shape.gainDb.safeParse(value).success],
  ['pan', PAN_BOUNDS, (value) => LayerFields.shape.pan.safeParse(value).success],
  ['offset', OFFSET_BOUNDS, (value) => LayerFields.shape.offsetSamples.safeParse(value).success],
  ...(['frequencyHz', 'gainDb', 'q'] as const).map((key): [string, Bounds, (value: number) => boolean] => [
    `band ${key}`,
    BAND_BOUNDS[key],
    (value) => Band.safeParse({ ...band, [key]: value }).success,
  ]),
  ...(['frequencyHz', 'gainDb'] as const).map((key): [string, Bounds, (value: number) => boolean] => [
    `shelf ${key}`,
    PROXIMITY_BOUNDS[key],
    (value) => ProximityShelf.safeParse({ ...STARTING_PROXIMITY, [key]: value }).success,
  ]),
]

describe('bounds', () => {
  it.each(CASES)(
    'of %s are accepted, and values beyond them are rejected',
    (_name, { min, max }, isAccepted) => {
      expect([min, max].map(isAccepted)).toEqual([true, true])
      expect([min - 1, max + 1].map(isAccepted)).toEqual([false, false])
    },
  )
})

/** Exceptions: bounds of values that the contract does not bound in the same way, such as fractions. */
const OF_THE_WINDOW: readonly RegExp[] = [
  /overlay-view\.tsx: (min|max)=\{2/,
  /curve-fields\.tsx: (min|max)=/,
  /proximity-fields\.tsx: (min|max)=\{(0\.01|3)\}/,
  /starting-settings\.tsx: (min|max)=\{[01]\}/,
  /(character-panels|parts\/progress)\.tsx: (min|max)=\{[01]\}/,
  /listening-level\.tsx: max=\{0\}/,
]

it('bounds are not hard-coded in the renderer', () => {
  const root = join(import.meta.dirname, '../../../renderer')
  const found = globSync('**/*.tsx', { cwd: root }).flatMap((file) => {
    const text = readFileSync(join(root, file), 'utf8')
    return [...text.matchAll(/\b(min|max|maxLength)=\{-?[\d_.]+\}/g)].map(([bound]) => `${file}: ${bound}`)
  })
  expect(found.length).toBeGreaterThan(0)
  expect(found.filter((line) => !OF_THE_WINDOW.some((known) => known.test(line)))).toEqual([])
  const constants = globSync('**/*.{ts,tsx}', { cwd: root }).filter((file) =>
    /MOST_(STAGES|BANDS|LAYERS|GROUPS)\b/.test(readFileSync(join(root, file), 'utf8')),
  )
  expect(constants).toEqual([])
})

it('are read through a default, which a field of stored data may have', () => {
  expect(boundsOf(z.number().min(-3).max(3).default(0))).toEqual({ min: -3, max: 3 })
})
