// The meter in the transport: true peaks of both sides with hold, the highest peak since playback started,
// momentary and short-term loudness, and the correlation of the sides. The audio thread measures; here the readings of what
// is heard are only drawn, past React, because they change with every frame.

import { useEffect, useRef, useState } from 'react'
import { formatNumber } from '../../../app/words/format.ts'
import { METER } from '../../playback/live-meter.ts'
import { readHeardMeters, readMeters, usePlayer } from '../../playback/player.ts'

const LOWEST_DB = -54
const HIGHEST_DB = 3
/** The scale is marked every 6 dB, and 0 dBTP apart. */
const MARKS_DB = [-48, -42, -36, -30, -24, -18, -12, -6] as const
const HOLD_MS = 1500
/** Return of the bars, about that of a programme meter: 20 dB in 1.7 s (IEC 60268-10, type I). */
const FALL_DB_PER_MS = 20 / 1700
const TEXT_MS = 100

const decibels = (peak: number): number => (peak > 0 ? 20 * Math.log10(peak) : Number.NEGATIVE_INFINITY)
const shareOf = (db: number): number => Math.min(1, Math.max(0, (db - LOWEST_DB) / (HIGHEST_DB - LOWEST_DB)))
/** Below this there is nothing to read: the absolute gate of ITU-R BS.1770. */
const SILENT_DB = -70
const textOf = (value: number): string => (value > SILENT_DB ? formatNumber(value, 1) : '—')

/** With two decimals, of which the sign tells most. */
const correlationText = (value: number): string =>
  Number.isNaN(value) ? '—' : `${value >= 0.005 ? '+' : ''}${formatNumber(value, 2)}`

interface Bar {
  shownDb: number
  heldDb: number
  heldUntil: number
}

/** Moves a bar to a reading: up at once, down slowly; the hold mark stays a while. */
function moveBar(bar: Bar, db: number, now: number, passedMs: number): void {
  bar.shownDb = Math.max(db, bar.shownDb - passedMs * FALL_DB_PER_MS, LOWEST_DB)
  if (bar.shownDb >= bar.heldDb) {
    bar.heldDb = bar.shownDb
    bar.heldUntil = now + HOLD_MS
  } else if (now > bar.heldUntil) bar.heldDb = Math.max(LOWEST_DB, bar.heldDb - passedMs * FALL_DB_PER_MS)
}

export function LevelMeter() {
  const { status } = usePlayer()
  const isPlaying = status === 'playing'
  const scale = useRef<HTMLDivElement>(null)
  const momentary = useRef<HTMLSpanElement>(null)
  const shortTerm = useRef<HTMLSpanElement>(null)
  const highest = useRef<HTMLSpanElement>(null)
  const correlation = useRef<HTMLSpanElement>(null)
  const [isOver, setOver] = useState(false)
  /** Peaks up to here were seen and cleared. */
  const cleared = useRef(0)
  const maxDb = useRef(Number.NEGATIVE_INFINITY)

  useEffect(() => {
    if (!isPlaying) return
    cleared.current = 0
    maxDb.current = Number.NEGATIVE_INFINITY
    setOver(false)
    const bars: Bar[] = [0, 1].map(() => ({ shownDb: LOWEST_DB, heldDb: LOWEST_DB, heldUntil: 0 }))
    const sides = [...scale.current!.querySelectorAll<HTMLElement>('.meter-bar')]
    const holds = [...scale.current!.querySelectorAll<HTMLElement>('.meter-hold')]
    const showHighest = (peak: number): void => {
      if (highest.current === null || peak <= cleared.current) return
      maxDb.current = decibels(peak)
      highest.current.textContent = textOf(maxDb.current)
      if (maxDb.current > 0) setOver(true)
    }
    let before = performance.now()
    let texted = 0
    let request = 0
    const draw = (now: number): void => {
      const readings = readHeardMeters()
      for (const [side, bar] of bars.entries()) {
        moveBar(bar, decibels(readings[METER.peakLeft + side]), now, now - before)
        sides[side].style.transform = `scaleX(${shareOf(bar.shownDb)})`
        holds[side].style.transform = `translateX(${shareOf(bar.heldDb) * 100}%)`
      }
      before = now
      if (now - texted >= TEXT_MS) {
        texted = now
        momentary.current!.textContent = textOf(readings[METER.momentary])
        shortTerm.current!.textContent = textOf(readings[METER.shortTerm])
        correlation.current!.textContent = correlationText(readings[METER.correlation])
        showHighest(readings[METER.maxPeak])
      }
      request = requestAnimationFrame(draw)
    }
    request = requestAnimationFrame(draw)
    return () => {
      cancelAnimationFrame(request)
      for (const one of [...sides, ...holds]) one.style.transform = ''
      // What the output still plays when the window has stopped counts as well.
      showHighest(readMeters()[METER.maxPeak])
    }
  }, [isPlaying])

  const clear = (): void => {
    cleared.current = readMeters()[METER.maxPeak]
    highest.current!.textContent = '—'
    setOver(false)
  }

  return (
    // biome-ignore lint/a11y/useSemanticElements: a fieldset holds form fields, the meter shows readings
    <div
      className="meter"
      role="group"
      aria-label="Meter of what is heard"
      title="What is heard, before the listening level and the match: as it would be bounced"
    >
      <div className="meter-scale" ref={scale} aria-hidden="true">
        {['left', 'right'].map((side) => (
          <div key={side} className="meter-side">
            <div className="meter-bar" />
            <div className="meter-hold" />
          </div>
        ))}
        {MARKS_DB.map((db) => (
          <span key={db} className="meter-mark" style={{ left: `${shareOf(db) * 100}%` }} />
        ))}
        <span className="meter-mark meter-mark-full" style={{ left: `${shareOf(0) * 100}%` }} />
      </div>
      <button
        type="button"
        className="meter-highest number"
        data-over={isOver || undefined}
        title="Highest true peak since playback started, in dBTP. Click to clear."
        onClick={clear}
      >
        <span className="visually-hidden">{isOver ? 'Over 0 dBTP: ' : 'Highest true peak '}</span>
        <span className="meter-name meter-name-narrow" aria-hidden="true">
          TP
        </span>
        <span ref={highest}>—</span>
        <span className="meter-unit"> dBTP</span>
        <span className="visually-hidden">, clear</span>
      </button>
      <span className="meter-figure number" title="Momentary loudness, over 0.4 s (EBU R 128)">
        <abbr className="meter-name">M</abbr>
        <span className="meter-value" ref={momentary}>
          —
        </span>
      </span>
      <span className="meter-figure number" title="Short-term loudness, over 3 s (EBU R 128)">
        <abbr className="meter-name">S</abbr>
        <span className="meter-value" ref={shortTerm}>
          —
        </span>
        <span className="meter-unit"> LUFS</span>
      </span>
      <span
        className="meter-figure number"
        title="Correlation of left and right over 0.4 s: +1 the same, 0 unrelated, below 0 lost in mono"
      >
        <abbr className="meter-name">r</abbr>
        <span className="meter-value" ref={correlation}>
          —
        </span>
      </span>
    </div>
  )
}
