// What leaves the window's audio graph, and what the window draws at the same time, both recorded in the page by the test: a
// worklet beside the destination takes every sample with its place in the context, and a task behind each frame of the
// screen reads what was drawn in it.

import type { Page } from 'playwright-core'

/** One frame of the screen. Times are those of performance.now(). */
export interface DrawnFrame {
  /** When the frame was begun, and when it was drawn: layout and paint are behind it. */
  readonly begunMs: number
  readonly atMs: number
  /** Left edge of the line at the place that is heard, in px of the lanes; null where there is none. */
  readonly playheadPx: number | null
  readonly lanesPx: number
  /** The levels at the joints, as they are written below the river. */
  readonly levels: readonly string[]
  /** Scale of the first bar of the transport's meter; 0 is empty. */
  readonly bar: number
  /** The transport's figures, as they are written. */
  readonly momentary: string
  readonly shortTerm: string
  readonly highest: string
}

/** The output's clock at one frame of the screen: see AudioContext. */
interface ClockStamp {
  readonly contextTime: number
  readonly performanceTime: number
  readonly currentTime: number
  readonly baseLatency: number
  readonly outputLatency: number
}

interface Recorded {
  /** Runs of blocks without a gap: the context's frame of the first sample, and when each block was rendered. */
  readonly sound: {
    readonly frame: number
    readonly wallMs: readonly number[]
    readonly left: readonly number[]
    readonly right: readonly number[]
  }[]
  readonly frames: DrawnFrame[]
  readonly clock: ClockStamp[]
}

declare global {
  interface Window {
    tapped: {
      sound: { frame: number; wallMs: number[]; left: Float32Array; right: Float32Array }[]
      frames: DrawnFrame[]
      clock: ClockStamp[]
      context: AudioContext | null
      isOn: boolean
    }
  }
}

/** Frames of a block of the audio thread. */
export const BLOCK = 128

/**
 * Taps the page from its next load on.
 * @param lateS an output that is later than the browser's by so many seconds, as wireless headphones are: the context
 *   then reports its time stamps as that output would
 */
export async function tapPage(page: Page, lateS = 0): Promise<void> {
  await page.addInitScript((late) => {
    window.tapped = { sound: [], frames: [], clock: [], context: null, isOn: false }
    const { tapped } = window
    const stampOf = AudioContext.prototype.getOutputTimestamp
    AudioContext.prototype.getOutputTimestamp = function () {
      const { contextTime = 0, performanceTime = 0 } = stampOf.call(this)
      return { contextTime: Math.max(0, contextTime - late), performanceTime }
    }
    const TAP = `registerProcessor('tap', class extends AudioWorkletProcessor {
      constructor() { super(); this.begin() }
      begin() { this.at = 0; this.frame = currentFrame; this.wallMs = []; this.left = new Float32Array(4096); this.right = new Float32Array(4096) }
      process([input]) {
        if (this.at === 0) this.begin()
        this.wallMs.push(Date.now())
        if (input.length > 0) { this.left.set(input[0], this.at); this.right.set(input[1] ?? input[0], this.at) }
        this.at += 128
        if (this.at === 4096) {
          this.port.postMessage({ frame: this.frame, wallMs: this.wallMs, left: this.left, right: this.right })
          this.at = 0
        }
        return true
      }
    })`
    const connect = AudioNode.prototype.connect as (this: AudioNode, to: AudioNode) => AudioNode
    const tapFrom = async (node: AudioNode): Promise<void> => {
      const context = node.context as AudioContext
      tapped.context = context
      await context.audioWorklet.addModule(URL.createObjectURL(new Blob([TAP], { type: 'text/javascript' })))
      const tap = new AudioWorkletNode(context, 'tap')
      tap.port.onmessage = ({ data }) => {
        if (tapped.isOn) tapped.sound.push(data)
      }
      connect.call(node, tap)
      // Its output is silent; it is connected so that it runs.
      connect.call(tap, context.destination)
    }
    AudioNode.prototype.connect = function (this: AudioNode, to: AudioNode) {
      const isOutput = this instanceof AudioWorkletNode && to === this.context.destination
      if (isOutput) void tapFrom(this)
      return connect.call(this, to)
    } as typeof AudioNode.prototype.connect
    const text = (selector: string): string => document.querySelector(selector)?.textContent ?? ''
    let begunMs = 0
    const look = (): void => {
      const { context } = tapped
      if (!tapped.isOn || context === null) return
      const line = document.querySelector<HTMLElement>('.song-playhead')
      const figures = document.querySelectorAll('.meter .meter-value')
      const bar = document.querySelector<HTMLElement>('.meter-bar')
      tapped.frames.push({
        begunMs,
        atMs: performance.now(),
        playheadPx:
          line === null
            ? null
            : Number(/translateX\(([\d.e-]+)px/.exec(line.style.transform)?.[1] ?? Number.NaN),
        lanesPx: document.querySelector('.song-lanes')?.clientWidth ?? 0,
        levels: [
          ...(document.querySelectorAll('.joint-numbers .joint-line:has(.joint-number)')[0]?.children ?? []),
        ].map((one) => one.textContent ?? ''),
        bar: Number(/scaleX\(([\d.e-]+)\)/.exec(bar?.style.transform ?? '')?.[1] ?? 0),
        momentary: figures[0]?.textContent ?? '',
        shortTerm: figures[1]?.textContent ?? '',
        highest: text('.meter-highest > span:not([class])'),
      })
      const { contextTime = 0, performanceTime = 0 } = context.getOutputTimestamp()
      const { currentTime, baseLatency, outputLatency } = context
      tapped.clock.push({ contextTime, performanceTime, currentTime, baseLatency, outputLatency })
    }
    const { port1, port2 } = new MessageChannel()
    port1.onmessage = look
    const frame = (): void => {
      requestAnimationFrame(frame)
      begunMs = performance.now()
      // Runs when the frame has been drawn.
      port2.postMessage(null)
    }
    requestAnimationFrame(frame)
  }, lateS)
}

/** Begins to record. */
export const record = (page: Page): Promise<void> =>
  page.evaluate(() => {
    window.tapped.isOn = true
  })

/** Ends the recording and returns it. */
export const recorded = (page: Page): Promise<Recorded & { readonly timeOrigin: number }> =>
  page.evaluate(() => {
    const { tapped } = window
    tapped.isOn = false
    return {
      sound: tapped.sound.map(({ frame, wallMs, left, right }) => ({
        frame,
        wallMs,
        left: [...left],
        right: [...right],
      })),
      frames: tapped.frames,
      clock: tapped.clock,
      timeOrigin: performance.timeOrigin,
    }
  })
