// Findings of a take: waveform with marks, measured facts, and each finding with its meaning and
// remedy.

import type { Take } from '../../../app/contract/entities.ts'
import type { Finding } from '../../../app/contract/finding.ts'
import { findingFigure, findingName, findingWords, isHint } from '../../../app/words/findings.ts'
import { formatLevel } from '../../../app/words/format.ts'
import { placesOf, quietFacts } from '../../formats/voice/finding-words.ts'
import { asRead } from '../../formats/voice/voice-words.ts'
import { MarkedWave, type WaveMark } from './marked-wave.tsx'
import { PlaceButtons } from './place-buttons.tsx'
import './findings.css'

const WAVE_PX = 64

export interface TakeFindingsProps {
  readonly take: Take
  readonly sessionRateHz: number
}

/** Waveform, measured facts and findings of one take. */
export function TakeFindings({ take, sessionRateHz }: TakeFindingsProps) {
  const { findings, check, maxMomentaryLufs, maxShortTermLufs } = take.facts
  return (
    <div className="take-findings-sheet">
      <MarkedWave take={take} sessionRateHz={sessionRateHz} heightPx={WAVE_PX} marks={marksOf(take)} />
      <dl className="quiet-facts">
        <div>
          <dt>Max momentary</dt>
          <dd>{formatLevel(maxMomentaryLufs, 'LUFS')}</dd>
        </div>
        <div>
          <dt>Max short-term</dt>
          <dd>{formatLevel(maxShortTermLufs, 'LUFS')}</dd>
        </div>
        {check === undefined
          ? null
          : quietFacts(check).map(({ name, words }) => (
              <div key={name}>
                <dt>{name}</dt>
                <dd>{words}</dd>
              </div>
            ))}
      </dl>
      {findings.length === 0 ? (
        <p>No findings.</p>
      ) : (
        <ul className="finding-list" aria-label="Findings">
          {findings.map((finding) => (
            <li key={JSON.stringify(finding)} className="finding" data-hint={isHint(finding) || undefined}>
              <p className="finding-head">
                <strong>{findingName(finding.kind)}</strong>
                {isHint(finding) ? <span className="finding-hint">indication only</span> : null}
                <span className="number soft">{asRead(findingFigure(finding))}</span>
                <PlaceButtons
                  take={take}
                  sessionRateHz={sessionRateHz}
                  what={findingName(finding.kind).toLowerCase()}
                  places={placesOf(finding)}
                />
              </p>
              <FindingText finding={finding} />
            </li>
          ))}
        </ul>
      )}
    </div>
  )
}

/** What a finding means, and what to do. */
function FindingText({ finding }: { finding: Finding }) {
  const { meaning, remedy } = findingWords(finding)
  return (
    <p>
      {asRead(meaning)} <span className="soft">{asRead(remedy)}</span>
    </p>
  )
}

/** True for findings that cover whole phrases; filled marks would hide narrower ones. */
const isWide = ({ kind }: Finding): boolean => kind === 'same-performance'

function marksOf({ facts: { findings, check } }: Take): readonly WaveMark[] {
  return [
    ...(check?.phrases ?? []).map(
      ({ fromS, toS, levelDbfs }): WaveMark => ({
        fromS,
        toS,
        kind: 'phrase',
        name: `Phrase, ${formatLevel(levelDbfs, 'dBFS')}`,
      }),
    ),
    ...(check?.breaths ?? []).map(
      ({ fromS, toS }): WaveMark => ({ fromS, toS, kind: 'breath', name: 'Breath' }),
    ),
    ...findings.flatMap((finding) =>
      placesOf(finding).map(
        ({ fromS, toS }): WaveMark => ({
          fromS,
          toS,
          kind: isWide(finding) ? 'shared' : 'finding',
          name: findingName(finding.kind),
        }),
      ),
    ),
  ]
}
