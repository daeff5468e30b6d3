// The differences between two chains, in words.

import type { ChainStage, ChainStages } from '../../../app/contract/chain-document.ts'
import { readSetting } from '../../../app/words/chain/setting-names.ts'
import {
  aimInWords,
  bandInWords,
  formatSetting,
  polarityInWords,
  slopeInWords,
} from '../../../app/words/chain/settings-in-words.ts'
import { BAND_NAMES, STAGE_NAMES, summaryOf } from '../../../app/words/chain/stage-words.ts'
import { fieldsOf } from './setting-fields.ts'

/** @returns sentences: added and removed stages, then the order, then settings; empty if nothing differs */
export function describeChanges(from: ChainStages, to: ChainStages): readonly string[] {
  const pairs = pairStages(from, to)
  const sentences: string[] = []
  for (const { before, after } of pairs) {
    if (before === null && after !== null) {
      sentences.push(`${nameIn(to, after)} was added: ${summaryOf(after)}.`)
    } else if (after === null && before !== null) {
      sentences.push(`${nameIn(from, before)} was removed.`)
    }
  }
  const kept = pairs.flatMap(({ before, after }) =>
    before !== null && after !== null ? [{ before, after }] : [],
  )
  const oldOrder = [...kept].sort((a, b) => from.indexOf(a.before) - from.indexOf(b.before))
  if (oldOrder.some((pair, index) => pair !== kept[index])) {
    sentences.push(`The order is now: ${to.map((stage) => STAGE_NAMES[stage.kind]).join(', ')}.`)
  }
  for (const { before, after } of kept) {
    const changes = settingChanges(before, after)
    if (changes.length > 0) sentences.push(`${nameIn(to, after)}: ${changes.join('; ')}.`)
  }
  return sentences
}

/** Pairs stages of the same kind in order. Pairs are in the order of `to`, removed stages last. */
function pairStages(
  from: ChainStages,
  to: ChainStages,
): readonly { before: ChainStage | null; after: ChainStage | null }[] {
  const unmatched = [...from]
  const pairs: { before: ChainStage | null; after: ChainStage | null }[] = to.map((after) => {
    const index = unmatched.findIndex((stage) => stage.kind === after.kind)
    return { before: index === -1 ? null : unmatched.splice(index, 1)[0], after }
  })
  return [...pairs, ...unmatched.map((before) => ({ before, after: null }))]
}

/** 'Tone', or 'Tone 2' if there are several. */
function nameIn(stages: ChainStages, stage: ChainStage): string {
  const alike = stages.filter(({ kind }) => kind === stage.kind)
  return alike.length === 1
    ? STAGE_NAMES[stage.kind]
    : `${STAGE_NAMES[stage.kind]} ${alike.indexOf(stage) + 1}`
}

function settingChanges(before: ChainStage, after: ChainStage): string[] {
  const changes: string[] = []
  const say = (label: string, from: string, to: string): void => {
    if (from !== to) changes.push(`${label} ${from} → ${to}`)
  }
  if (before.on !== after.on) changes.push(after.on ? 'on' : 'off')
  for (const field of fieldsOf(after.kind)) {
    const old = readSetting(before, field.key)
    const now = readSetting(after, field.key)
    if (old !== now) say(field.label.toLowerCase(), formatSetting(old, field), formatSetting(now, field))
  }
  if (before.kind === 'trim' && after.kind === 'trim') {
    say(
      'polarity',
      polarityInWords(before.settings.invertPolarity),
      polarityInWords(after.settings.invertPolarity),
    )
  }
  if (before.kind === 'low-cut' && after.kind === 'low-cut') {
    say(
      'slope',
      slopeInWords(before.settings.slopeDbPerOctave),
      slopeInWords(after.settings.slopeDbPerOctave),
    )
  }
  if (before.kind === 'de-ess' && after.kind === 'de-ess') {
    say(
      'shape',
      BAND_NAMES[before.settings.shape].toLowerCase(),
      BAND_NAMES[after.settings.shape].toLowerCase(),
    )
  }
  if (before.kind === 'mic-correction' && after.kind === 'mic-correction') {
    const old = before.settings.target
    const now = after.settings.target
    if (JSON.stringify(old) !== JSON.stringify(now)) {
      changes.push(
        aimInWords(old) === aimInWords(now)
          ? `the curve of ${aimInWords(now)} has changed`
          : `target ${aimInWords(old)} → ${aimInWords(now)}`,
      )
    }
    const shelf = (settings: typeof after.settings): string =>
      settings.proximity === undefined ? 'none' : bandInWords({ shape: 'low-shelf', ...settings.proximity })
    say('proximity', shelf(before.settings), shelf(after.settings))
  }
  if (before.kind === 'tone' && after.kind === 'tone') {
    const old = before.settings.bands
    const now = after.settings.bands
    for (let i = 0; i < Math.max(old.length, now.length); i++) {
      if (i >= old.length) changes.push(`new ${bandInWords(now[i])}`)
      else if (i >= now.length) changes.push(`removed ${bandInWords(old[i])}`)
      else say(`band ${i + 1}`, bandInWords(old[i]), bandInWords(now[i]))
    }
  }
  return changes
}
