// What the benchmark works on, made once by ffmpeg: real speech looped to the length of a song
// (the voice clips of Debian's alsa-utils, or the demo's generated voice where they are not
// installed), and noise without silence whose level moves like syllables, for long songs.
// All mono, 48 kHz, 24 bit.

import { execFileSync } from 'node:child_process'
import { existsSync, mkdirSync, readdirSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { renderVoiceTake } from '../../app/engine/rendering/render-voice-take.ts'
import { DEMO_SESSIONS } from '../../app/services/demo/demo-sessions.ts'
import { inRoot, MATERIAL } from './places.ts'

export const RATE_HZ = 48_000
const CLIPS = '/usr/share/sounds/alsa'

/**
 * Speech of exactly `seconds`.
 * @param variant each starts at another clip, and at another place in it
 * @returns path from the top of the tree
 */
export function speechTake(seconds: number, variant: number): string {
  return made(`speech-${seconds}s-${`${variant}`.padStart(2, '0')}.wav`, (to) => {
    const clips = speechClips()
    const inTurn = clips.map((_, k) => clips[(k + variant) % clips.length])
    // A clip lasts more than a second, so that so many of them are more than enough.
    const list = Array.from({ length: seconds + 60 }, (_, k) => `file '${inTurn[k % inTurn.length]}'`)
    const listPath = inRoot(`${MATERIAL}/clips.txt`)
    writeFileSync(listPath, `${list.join('\n')}\n`)
    const start = Math.round(0.37 * variant * RATE_HZ)
    const cut = `aresample=${RATE_HZ},atrim=start_sample=${start}:end_sample=${start + seconds * RATE_HZ},asetpts=N/SR/TB`
    ffmpeg('-f', 'concat', '-safe', '0', '-i', listPath, '-af', cut, '-ac', '1', '-c:a', 'pcm_s24le', to)
  })
}

/**
 * Short takes of voices, each sung once: the demo's songs, generated anew with one seed after another, and cut.
 * @returns their paths from the top of the tree
 */
export function shortVoiceTakes(count: number, seconds: number): string[] {
  const takes: string[] = []
  for (let seed = 1000; takes.length < count; seed++) {
    const { layers, mic, date } = DEMO_SESSIONS[seed % DEMO_SESSIONS.length]
    const { score, performance } = layers[0]
    const folder = made(`voice-${seed}-in-${seconds}s`, (to) => {
      mkdirSync(to, { recursive: true })
      const whole = `${to}/whole.wav`
      renderVoiceTake({ path: whole, score, performance, mic, seed, sampleRateHz: RATE_HZ, date }, () => {})
      const segments = ['-f', 'segment', '-segment_time', `${seconds}`]
      ffmpeg('-i', whole, '-c:a', 'pcm_s24le', ...segments, `${to}/part-%02d.wav`)
      rmSync(whole)
    })
    // The last one is shorter.
    const parts = readdirSync(inRoot(folder)).sort().slice(0, -1)
    takes.push(...parts.map((name) => `${folder}/${name}`))
  }
  return takes.slice(0, count)
}

/** Pink noise in syllables, four a second, never silent, with slow swells; the same bytes each time. */
export function syllableNoise(minutes: number): string {
  return made(`syllable-noise-${minutes}min.wav`, (to) => {
    const noise = `anoisesrc=color=pink:amplitude=0.7:seed=1:sample_rate=${RATE_HZ}:duration=${minutes * 60}`
    const moved = `${noise},tremolo=f=4:d=0.8,tremolo=f=0.15:d=0.5`
    ffmpeg('-f', 'lavfi', '-i', moved, '-c:a', 'pcm_s24le', '-rf64', 'auto', to)
  })
}

/** Pink noise of one level; `variant` is its seed. */
export function steadyNoise(seconds: number, variant: number): string {
  return made(`steady-noise-${seconds}s-${variant}.wav`, (to) => {
    const noise = `anoisesrc=color=pink:amplitude=0.3:seed=${variant}:sample_rate=${RATE_HZ}:duration=${seconds}`
    ffmpeg('-f', 'lavfi', '-i', noise, '-c:a', 'pcm_s24le', to)
  })
}

/** A finished file or folder under its name, or nothing. */
function made(name: string, make: (to: string) => void): string {
  const path = `${MATERIAL}/${name}`
  if (existsSync(inRoot(path))) return path
  mkdirSync(inRoot(MATERIAL), { recursive: true })
  const unfinished = inRoot(`${MATERIAL}/unfinished-${name}`)
  rmSync(unfinished, { recursive: true, force: true })
  make(unfinished)
  renameSync(unfinished, inRoot(path))
  return path
}

function speechClips(): string[] {
  if (existsSync(CLIPS)) {
    const spoken = readdirSync(CLIPS).filter((name) => name.endsWith('.wav') && name !== 'Noise.wav')
    if (spoken.length > 0) return spoken.map((name) => join(CLIPS, name))
  }
  return [inRoot(demoVoice())]
}

function demoVoice(): string {
  return made('demo-voice.wav', (path) => {
    const [{ layers, mic, date }] = DEMO_SESSIONS
    const { score, performance, seed } = layers[0]
    renderVoiceTake({ path, score, performance, mic, seed, sampleRateHz: RATE_HZ, date }, () => {})
  })
}

function ffmpeg(...args: string[]): void {
  execFileSync('ffmpeg', ['-v', 'error', '-nostdin', '-y', ...args], {
    stdio: ['ignore', 'ignore', 'inherit'],
  })
}
