// Audio output at one sample rate: an audio context and the worklet that plays the ring.

import { Failure } from '../../app/contract/failure.ts'
import { formatRate } from '../../app/words/format.ts'
import { heardLatencySeconds } from './heard-latency.ts'
import { createRing, createRingWriter, type Ring, type RingWriter, WORD } from './ring.ts'
import workletUrl from './ring-worklet.ts?worker&url'
import { createStallWatch } from './stalled-output.ts'

/** The fade at a stop takes 10 ms, and a few blocks of the output; an output that is gone never fades. */
const MAX_FADE_MS = 500

/** An open audio output; there is at most one. */
export interface AudioOutput {
  readonly sampleRateHz: number
  readonly ring: Ring
  readonly writer: RingWriter
  /** Receives the copies that the worklet posts while WORD.capture is set. */
  readonly port: MessagePort
  /** From the frame that is read next to the one that is heard now, in seconds. */
  latencySeconds(): number
  /** Resolves once the browser allows sound. */
  ready(): Promise<void>
  start(): void
  /** Fades out; resolves once it is silent, or half a second later. */
  stop(): Promise<void>
  /** Whether it has stopped taking sound: its device is gone, or the system took it away. Asked while it plays. */
  isLost(): boolean
  close(): Promise<void>
}

/** @throws Failure `not-supported` where the machine cannot play at this rate */
export async function openAudioOutput(sampleRateHz: number): Promise<AudioOutput> {
  if (!globalThis.crossOriginIsolated) {
    throw new Failure(
      'not-supported',
      'Playback needs a cross-origin isolated page, and this page is not; open the window with `npm start`.',
    )
  }
  let context: AudioContext
  try {
    context = new AudioContext({ sampleRate: sampleRateHz, latencyHint: 'interactive' })
  } catch (error) {
    throw new Failure(
      'not-supported',
      `This machine's audio output cannot play at ${formatRate(sampleRateHz)}; choose another output device in the system's sound settings.`,
      { sampleRateHz },
      error,
    )
  }
  await context.audioWorklet.addModule(workletUrl)
  const ring = createRing(sampleRateHz)
  const node = new AudioWorkletNode(context, 'takeloft-ring', {
    numberOfInputs: 0,
    outputChannelCount: [2],
    processorOptions: { shared: ring.shared },
  })
  node.connect(context.destination)
  const isStalled = createStallWatch()
  let hasFailed = false
  // Web Audio API 1.1: the event of an AudioContext whose device fails.
  context.addEventListener('error', () => {
    hasFailed = true
  })

  return {
    sampleRateHz,
    ring,
    writer: createRingWriter(ring, sampleRateHz),
    port: node.port,
    latencySeconds: () => heardLatencySeconds(context, performance.now()),
    ready: () => context.resume(),
    start() {
      Atomics.store(ring.words, WORD.running, 1)
    },
    async stop() {
      Atomics.store(ring.words, WORD.running, 0)
      const untilMs = performance.now() + MAX_FADE_MS
      // It never completes if the context is suspended or playback starts again.
      const isFading = (): boolean =>
        Atomics.load(ring.words, WORD.running) === 0 &&
        Atomics.load(ring.words, WORD.sounding) === 1 &&
        performance.now() < untilMs
      while (context.state === 'running' && isFading()) {
        await new Promise((resolve) => setTimeout(resolve, 5))
      }
    },
    isLost: () =>
      hasFailed || context.state !== 'running' || isStalled(context.currentTime, performance.now()),
    async close() {
      if (context.state !== 'closed') await context.close()
    },
  }
}
