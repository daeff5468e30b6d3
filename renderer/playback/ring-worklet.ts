// Entry point of the audio thread: registers the processor that plays the ring (ring-player.ts).

import { openRing, type Ring, WORD } from './ring.ts'
import { createRingPlayer, type RingPlayer } from './ring-player.ts'

// TypeScript has no types for the globals of the audio thread.
declare const sampleRate: number
declare class AudioWorkletProcessor {
  readonly port: MessagePort
}
declare function registerProcessor(
  name: string,
  processor: new (options: { processorOptions: { shared: SharedArrayBuffer } }) => AudioWorkletProcessor,
): void

class RingProcessor extends AudioWorkletProcessor {
  readonly #ring: Ring
  readonly #player: RingPlayer

  constructor(options: { processorOptions: { shared: SharedArrayBuffer } }) {
    super()
    this.#ring = openRing(options.processorOptions.shared)
    this.#player = createRingPlayer(this.#ring, sampleRate)
  }

  process(_inputs: Float32Array[][], outputs: Float32Array[][]): boolean {
    const output = outputs[0]
    const { words } = this.#ring
    if (Atomics.load(words, WORD.capture) === 0) {
      this.#player.process(output[0], output[1])
      return true
    }
    const from = Atomics.load(words, WORD.read)
    const frames = this.#player.process(output[0], output[1])
    if (frames > 0) this.port.postMessage(copyOf(this.#ring, from, frames, output))
    return true
  }
}

/** Copies the frames just read and the resulting output, for capture.ts. */
function copyOf(ring: Ring, from: number, frames: number, output: Float32Array[]) {
  const mask = ring.frames - 1
  const read = ring.planes.map((plane) =>
    Float32Array.from({ length: frames }, (_, i) => plane[(from + i) & mask]),
  )
  return { from, frames, read, heard: output.map((channel) => channel.slice(0, frames)) }
}

registerProcessor('takeloft-ring', RingProcessor)
