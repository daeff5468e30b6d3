// A take with its patches, read by position: each patch is made when its span is first read, from the take as
// the kinds of repair before it leave it, and forgotten when reading has passed it.

import type { AudioSource } from '../../audio/audio-source.ts'
import { subtractHum } from '../../dsp/repair/hum-model.ts'
import { type Mending, type Patch, REPAIR_KINDS } from '../../dsp/repair/patch.ts'
import type { Channels } from '../../dsp/stage.ts'
import type { HumModel } from './measure-hum.ts'

/** Patches that end this long before the place that is read are forgotten. */
const KEPT_SECONDS = 2

interface PatchedTake {
  /** What the patch does to each channel. */
  mendingsOf(patch: Patch): readonly Mending[]
  /** As AudioSource.read, with the patches. */
  read(startFrame: number, frames: number, into: Channels): void
}

/** @param patches of any kind, in any order @param hum subtracted from the whole take; null for none */
export function createPatchedTake(
  audio: AudioSource,
  patches: readonly Patch[],
  hum: HumModel | null,
): PatchedTake {
  const { channels, sampleRateHz } = audio.format
  const kept = new Map<Patch, readonly Mending[]>()
  const byKind = REPAIR_KINDS.map((kind) =>
    patches.filter((patch) => patch.kind === kind).sort((a, b) => a.fromFrame - b.fromFrame),
  )
  const longest = byKind.map((list) =>
    list.reduce((most, one) => Math.max(most, one.toFrame - one.fromFrame), 0),
  )
  let forgottenTo = 0

  function mendingsOf(patch: Patch): readonly Mending[] {
    const known = kept.get(patch)
    if (known !== undefined) return known
    const frames = patch.toFrame - patch.fromFrame + 2 * patch.reach
    const around = Array.from({ length: channels }, () => new Float64Array(frames))
    readUpTo(REPAIR_KINDS.indexOf(patch.kind), patch.fromFrame - patch.reach, frames, around)
    const made = around.map((samples, channel) => patch.mend(samples, channel))
    kept.set(patch, made)
    return made
  }

  /** With the kinds of repair before `kind`. */
  function readUpTo(kinds: number, startFrame: number, frames: number, into: Channels): void {
    audio.read(startFrame, frames, into)
    const endFrame = startFrame + frames
    for (let k = 0; k < kinds; k++) {
      if (REPAIR_KINDS[k] === 'hum' && hum !== null) {
        for (const [c, amplitudes] of hum.channels.entries()) {
          subtractHum(into[c], frames, startFrame, sampleRateHz, hum.phase, amplitudes)
        }
      }
      for (let i = firstEndingAfter(byKind[k], startFrame, longest[k]); i < byKind[k].length; i++) {
        const patch = byKind[k][i]
        if (patch.fromFrame >= endFrame) break
        if (patch.toFrame > startFrame) put(mendingsOf(patch), startFrame, endFrame, into)
      }
    }
  }

  function forget(beforeFrame: number): void {
    if (beforeFrame < forgottenTo + sampleRateHz) return
    forgottenTo = beforeFrame
    for (const patch of kept.keys()) if (patch.toFrame < beforeFrame) kept.delete(patch)
  }

  return {
    mendingsOf(patch) {
      forget(patch.fromFrame - KEPT_SECONDS * sampleRateHz)
      return mendingsOf(patch)
    },
    read(startFrame, frames, into) {
      forget(startFrame - KEPT_SECONDS * sampleRateHz)
      readUpTo(REPAIR_KINDS.length, startFrame, frames, into)
    },
  }
}

/** Index of the first patch that can reach beyond `frame`. */
function firstEndingAfter(patches: readonly Patch[], frame: number, longest: number): number {
  let low = 0
  let high = patches.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (patches[middle].fromFrame + longest <= frame) low = middle + 1
    else high = middle
  }
  return low
}

function put(mendings: readonly Mending[], startFrame: number, endFrame: number, into: Channels): void {
  for (const [channel, mending] of mendings.entries()) {
    if (mending.outcome !== 'mended') continue
    for (const { from, samples } of mending.spans) {
      const first = Math.max(from, startFrame)
      const end = Math.min(from + samples.length, endFrame)
      for (let n = first; n < end; n++) into[channel][n - startFrame] = samples[n - from]
    }
  }
}
