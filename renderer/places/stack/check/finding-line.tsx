// The finding that is shown: where and what it is, what it was read from, and what answers it, heard before it is taken.

import type { SessionContents } from '../../../../app/contract/entities.ts'
import type { StackCheck } from '../../../../app/contract/stack-check/stack-check.ts'
import { formatDuration } from '../../../../app/words/format.ts'
import {
  stackEvidenceWords,
  stackFindingWords,
  stackSuggestionWords,
} from '../../../../app/words/stack-findings.ts'
import { Button } from '../../../parts/button.tsx'
import { endTriedStack } from '../../../playback/end-tried-stack.ts'
import { useTriedStack } from '../../../state/tried.ts'
import { showFinding } from './check-desk.ts'
import { actOn, takeAct, tryAct } from './finding-acts.ts'

export interface FindingLineProps {
  readonly contents: SessionContents
  readonly check: StackCheck
  readonly shown: { readonly finding: number; readonly place: number }
  /** Whether the stack has changed since. */
  readonly isStale: boolean
  readonly onPlace: (place: number) => void
}

export function FindingLine({ contents, check, shown, isStale, onPlace }: FindingLineProps) {
  const { session } = contents
  const isTrying = useTriedStack() !== null
  const finding = check.findings[shown.finding]
  const nameOf = (id: number): string => check.layers.find(({ layerId }) => layerId === id)?.name ?? ''
  const act = actOn(finding, contents)
  const place = finding.places[shown.place]
  const { suggestion } = finding
  const evidence = stackEvidenceWords(finding, nameOf)
  return (
    <div className="check-finding" data-stale={isStale || undefined}>
      <div className="check-finding-where">
        <span className="check-number number">{shown.finding + 1}</span>
        <span className="number">{place === undefined ? '' : formatDuration(place.fromS)}</span>
        {finding.places.length < 2 ? null : (
          <Button look="plain" onPress={() => onPlace((shown.place + 1) % finding.places.length)}>
            Place {shown.place + 1} of {finding.places.length}
          </Button>
        )}
      </div>
      <div className="check-finding-words">
        <p role="status">{stackFindingWords(finding, nameOf)}</p>
        {evidence === '' ? null : <p className="soft">{evidence}</p>}
        <p>
          {suggestion === null ? '' : `${stackSuggestionWords(suggestion, nameOf)} `}
          {act.is === 'none' ? <span className="soft">{act.why}</span> : act.is === 'stage' ? act.note : ''}
        </p>
      </div>
      {act.is === 'none' ? null : (
        <div className="check-finding-acts">
          <Button
            aria-pressed={isTrying}
            isDisabled={isStale}
            onPress={() => {
              if (isTrying) endTriedStack()
              else tryAct(act, session.id, showFinding(shown.finding, shown.place, session.sampleRateHz) ?? 0)
            }}
          >
            {isTrying ? 'End try' : 'Try'}
          </Button>
          <Button look="main" isDisabled={isStale} onPress={() => takeAct(act)}>
            {act.is === 'stage' ? 'Open chain with it' : act.name}
          </Button>
          <span className="soft check-hint">
            {isStale ? 'Check again first' : isTrying ? 'Without / With, equally loud' : ''}
          </span>
        </div>
      )}
    </div>
  )
}
