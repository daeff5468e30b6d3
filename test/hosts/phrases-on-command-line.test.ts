// phrases and align in real processes: what they print and write, and one clear sentence for each file that cannot be used.

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { openAudioFile } from '../../app/audio/open-audio-file.ts'
import { Alignment } from '../../app/contract/phrases/alignment.ts'
import { PhraseMap } from '../../app/contract/phrases/phrase-map.ts'
import { LOOSE_DOUBLE_DEVIATIONS } from '../../app/dsp/voice/performance.ts'
import { differingSamples } from '../fidelity/rows.ts'
import { writeTake } from '../services/workshop.ts'
import { addWhiteNoise, throughFfmpeg } from '../signals/checking.ts'
import { musicLoop } from '../signals/music-loop.ts'
import { lineSpans, randomLines, scoreOf, take } from '../signals/phrases/scores.ts'
import { documentOf, runTakeloft } from './run-takeloft.ts'

const folder = mkdtempSync(join(tmpdir(), 'takeloft-phrases-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const at = (name: string): string => join(folder, name)

const lines = randomLines(4, 21, 'rap')
const lead = take(scoreOf(lines, true, 5), 1)
const late = { ...LOOSE_DOUBLE_DEVIATIONS, phraseMs: 60 }
const double = take(scoreOf(lines, true, 5), 4, { deviations: late })
const leadFile = writeTake(at('lead.wav'), [Float64Array.from(lead.samples)])
const doubleFile = writeTake(at('double.wav'), [Float64Array.from(double.samples)])

function samplesOf(path: string): Float64Array[] {
  const audio = openAudioFile(path)
  const { channels, frames } = audio.format
  const into = Array.from({ length: channels }, () => new Float64Array(frames))
  audio.read(0, frames, into)
  audio.close()
  return into
}

/** True offsets of the syllables of each line of the double, ms. */
const offsets = lineSpans(lead.truth).map((_, p) =>
  lead.truth.syllables.flatMap(({ phraseIndex, vowelStartSeconds }, i) =>
    phraseIndex === p ? [1000 * (double.truth.syllables[i].vowelStartSeconds - vowelStartSeconds)] : [],
  ),
)
const medianOf = (values: readonly number[]): number => values.toSorted((a, b) => a - b)[values.length >> 1]

describe('phrases', () => {
  it('prints the phrases of each file and which line each is', async () => {
    const run = await runTakeloft(['phrases', leadFile, doubleFile, '--json'])
    expect(run.status, run.stderr).toBe(0)
    const map = PhraseMap.parse(documentOf(run))
    expect(map.files.map(({ file, phrases }) => [file, phrases.length])).toEqual([
      [leadFile, 4],
      [doubleFile, 4],
    ])
    expect(map.matches.map(({ phrase, guidePhrase }) => [phrase, guidePhrase])).toEqual([
      [1, 1],
      [2, 2],
      [3, 3],
      [4, 4],
    ])
    for (const [p, { offsetMs }] of map.matches.entries()) {
      expect(Math.abs(offsetMs - medianOf(offsets[p]))).toBeLessThan(15)
    }
    expect([map.missing, map.extra]).toEqual([[], []])
  })
})

describe('align', () => {
  it('brings the phrases closer, and keeps rate, depth, length and samples', async () => {
    const out = at('aligned.wav')
    const run = await runTakeloft(['align', leadFile, doubleFile, out, '--tightness', '1', '--json'])
    expect(run.status, run.stderr).toBe(0)
    const { phrases } = Alignment.parse(documentOf(run))
    expect(phrases.some(({ left }) => left === null)).toBe(true)
    const [before, after] = [samplesOf(doubleFile)[0], samplesOf(out)[0]]
    expect(after).toHaveLength(before.length)
    for (const [p, { fromS, toS, movedMs }] of phrases.entries()) {
      const shift = Math.round(48 * movedMs)
      const [from, to] = [fromS, toS].map((s) => Math.round(48_000 * s))
      // Moved by whole frames: movedMs is rounded to a tenth.
      const exact = [-3, -2, -1, 0, 1, 2, 3].find(
        (k) =>
          after[from + shift + k + 900] === before[from + 900] &&
          after[from + shift + k + 901] === before[from + 901] &&
          after[from + shift + k + 902] === before[from + 902],
      )
      expect(exact).toBeDefined()
      expect(
        differingSamples(after.slice(from + shift + exact!, to + shift + exact!), before.slice(from, to)),
      ).toBe(0)
      const left = offsets[p].map((ms) => Math.abs(ms + movedMs))
      expect(medianOf(left)).toBeLessThanOrEqual(medianOf(offsets[p].map(Math.abs)) + 1)
    }
  })

  it('leaves the lead itself as it is, to the sample', async () => {
    const out = at('itself.wav')
    const run = await runTakeloft(['align', leadFile, leadFile, out, '--tightness', '1'])
    expect(run.status, run.stderr).toBe(0)
    expect(differingSamples(samplesOf(out)[0], samplesOf(leadFile)[0])).toBe(0)
    expect(run.stdout).toContain('0 of 4 phrases moved')
  })

  it('moves a stereo file of another rate alike in both channels', async () => {
    const left = throughFfmpeg(Float64Array.from(double.samples), '', 44_100)
    const stereo = writeTake(at('stereo.wav'), [left, left.map((x) => x / 2)], { sampleRateHz: 44_100 })
    const out = at('stereo-aligned.wav')
    const run = await runTakeloft(['align', leadFile, stereo, out])
    expect(run.status, run.stderr).toBe(0)
    const [a, b] = samplesOf(out)
    const [c] = samplesOf(stereo)
    expect(a.some((x, n) => x !== c[n])).toBe(true)
    expect(a.reduce((most, x, n) => Math.max(most, Math.abs(x / 2 - b[n])), 0)).toBeLessThan(2 ** -22)
  })

  it('refuses what it cannot use with a sentence, and writes nothing', async () => {
    const seconds = 9 * 48_000
    const silence = writeTake(at('silence.wav'), [new Float64Array(seconds)])
    const noise = writeTake(at('noise.wav'), [addWhiteNoise(new Float64Array(seconds), -25, 2)])
    const music = writeTake(at('music.wav'), [musicLoop(9, 48_000)])
    const words = take(scoreOf(randomLines(4, 99, 'rap'), true, 5), 7)
    const other = writeTake(at('other.wav'), [Float64Array.from(words.samples)])
    writeFileSync(at('text.wav'), 'no sound')
    const out = at('refused.wav')
    const cases: [string[], RegExp][] = [
      [
        [silence, doubleFile, out],
        /silence\.wav has no phrases: it is digital silence\. Nothing was moved\./,
      ],
      [[leadFile, noise, out], /noise\.wav has no phrases: it goes on for 8 s and more without a pause/],
      [[leadFile, music, out], /music\.wav has no phrases: /],
      [
        [leadFile, other, out],
        /No phrase of .*other\.wav was recognised as a line of .*lead\.wav, so nothing was moved/,
      ],
      [[leadFile, at('text.wav'), out], /text\.wav cannot be read/],
      [[leadFile, at('none.wav'), out], /none\.wav/],
      [[leadFile, doubleFile, doubleFile], /is .*double\.wav itself, and takes are never written to/],
      [[leadFile, doubleFile, silence], /silence\.wav/],
      [
        [leadFile, doubleFile, out, '--tightness', '2'],
        /argument '2' is invalid. it is a number from 0 to 1/,
      ],
    ]
    for (const [words, sentence] of cases) {
      const run = await runTakeloft(['align', ...words])
      expect(run.status, words.join(' ')).toBe(2)
      expect(run.stderr).toMatch(sentence)
      expect(() => readFileSync(out)).toThrow()
    }
    const run = await runTakeloft(['phrases', noise, leadFile])
    expect(run.status).toBe(2)
    expect(run.sentence).toMatch(/Name a guide with at least one sung or spoken line\./)
  })
})
