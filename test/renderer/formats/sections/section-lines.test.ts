import { describe, expect, it } from 'vitest'
import {
  freeSectionName,
  freshMarkers,
  linesOf,
  MOST_LINES,
  rangeOf,
  sectionAt,
  startBeside,
} from '../../../../renderer/formats/sections/section-lines.ts'

const at = (startSamples: number, lengthSamples: number, name = '') => ({ startSamples, lengthSamples, name })

describe('the lines of sections', () => {
  it('are one for sections that follow each other, and more for those that overlap', () => {
    expect(linesOf([at(0, 100), at(100, 50), at(150, 50)], 10)).toEqual([0, 0, 0])
    expect(linesOf([at(0, 100), at(50, 20), at(60, 100), at(100, 10)], 10)).toEqual([0, 1, 2, 0])
  })

  it('give a marker the room of its name', () => {
    expect(linesOf([at(0, 0), at(5, 0), at(20, 0)], 10)).toEqual([0, 1, 0])
  })

  it('are bounded', () => {
    const stacked = Array.from({ length: 50 }, () => at(0, 1000))
    expect(Math.max(...linesOf(stacked, 10))).toBe(MOST_LINES - 1)
  })
})

describe('a new section', () => {
  it('gets the next number that is free, whatever the case', () => {
    expect(freeSectionName([])).toBe('Section 1')
    expect(freeSectionName([at(0, 1, 'Hook'), at(0, 1, 'section 3')])).toBe('Section 4')
    expect(freeSectionName([], 'Marker')).toBe('Marker 1')
  })
})

describe('the sections beside a frame', () => {
  const sections = [at(100, 100), at(150, 20), at(300, 50)]

  it('are the next start and the one before, with a moment in which back means the one before', () => {
    expect(startBeside(sections, 0, 1, 10)).toBe(100)
    expect(startBeside(sections, 100, 1, 10)).toBe(150)
    expect(startBeside(sections, 300, 1, 10)).toBeNull()
    expect(startBeside(sections, 320, -1, 10)).toBe(300)
    expect(startBeside(sections, 305, -1, 10)).toBe(150)
    expect(startBeside(sections, 100, -1, 10)).toBeNull()
  })

  it('are the innermost one with a length at the frame', () => {
    expect(sectionAt(sections, 160)).toEqual(at(150, 20))
    expect(sectionAt(sections, 180)).toEqual(at(100, 100))
    expect(sectionAt(sections, 200)).toBeNull()
    expect(sectionAt([at(10, 0)], 10)).toBeNull()
    expect(rangeOf(at(100, 20))).toEqual({ fromFrame: 100, toFrame: 120 })
  })
})

it('counts markers of files as waiting until a section of that name begins there', () => {
  const verse = { name: 'Verse', startSamples: 48_000 }
  const later = { name: 'Verse', startSamples: 96_000 }
  expect(freshMarkers([verse, later], [])).toEqual([verse, later])
  expect(freshMarkers([verse, later], [{ ...verse, id: 3 } as typeof verse])).toEqual([later])
  expect(freshMarkers([verse], [{ name: 'Hook', startSamples: 48_000 }])).toEqual([verse])
})
