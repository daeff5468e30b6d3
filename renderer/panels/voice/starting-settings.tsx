// Starting settings: proposed stages with the reasons for them. Each can be auditioned and then
// applied to the chain draft.

import { useEffect, useMemo } from 'react'
import { ToggleButton, ToggleButtonGroup } from 'react-aria-components'
import type { Take } from '../../../app/contract/entities.ts'
import type { StageProposal } from '../../../app/contract/voice-analysis.ts'
import { STAGE_NAMES, summaryOf } from '../../../app/words/chain/stage-words.ts'
import { evidenceSentence } from '../../../app/words/proposals.ts'
import { putInChain } from '../../acts/put-in-chain.ts'
import { isTakenIn, takingInWords } from '../../acts/take-in-proposal.ts'
import { type ChainRows, rowsOf } from '../../formats/chain/chain-rows.ts'
import { asRead, confidenceWords, settingLines } from '../../formats/voice/voice-words.ts'
import { Button } from '../../parts/button.tsx'
import { player, type Side, usePlayer } from '../../playback/player.ts'
import { useDraftOf } from '../../state/chain/chain-draft.ts'
import type { ChainInUse } from '../../state/chain/chain-owner.ts'
import { useTried } from '../../state/tried.ts'
import { audition, endAudition } from './audition.ts'
import './starting.css'

export interface StartingSettingsProps {
  readonly take: Take
  readonly sessionRateHz: number
  readonly proposals: readonly StageProposal[]
  readonly chain: ChainInUse | null
  readonly onOpenChain: () => void
}

/** Proposed stages with their evidence; each can be auditioned and applied to the chain draft. */
export function StartingSettings(props: StartingSettingsProps) {
  const { take, sessionRateHz, proposals, chain, onOpenChain } = props
  const { side } = usePlayer()
  const tried = useTried()
  const draft = useDraftOf(chain?.owner ?? null)
  const used = chain?.used ?? null
  const usedRows = useMemo(() => rowsOf(used?.stages ?? []), [used])
  const rows: ChainRows = draft?.rows ?? usedRows
  const all = proposals.map(({ stage }) => stage)
  const missing = all.filter((stage) => !isTakenIn(rows, stage))
  const isHearing = (stages: readonly unknown[]): boolean =>
    tried?.takeId === take.id && JSON.stringify(tried.stages) === JSON.stringify(stages)
  // Leaving the page ends the audition.
  useEffect(() => endAudition, [])

  const hear = (stages: typeof all, isOn: boolean): void => {
    if (isOn) audition(take, sessionRateHz, stages)
    else {
      void player.stop()
      endAudition()
    }
  }

  return (
    <section className="starting" aria-label="Starting settings">
      <header className="starting-head">
        <h2>Starting settings</h2>
        {chain === null ? null : (
          <span className="soft">
            {missing.length === 0
              ? 'All applied to'
              : missing.length < all.length
                ? 'Partly applied to'
                : 'For'}{' '}
            {chain.owner.groupId === null ? 'the shared chain' : `the chain of ${chain.owner.name}`}
          </span>
        )}
      </header>
      <p className="soft">
        Based on measurements of this take; nothing is applied automatically. Audition each setting against
        the dry take at matched loudness.
      </p>
      {proposals.length === 0 ? <p>No changes suggested.</p> : null}
      {proposals.length < 2 ? null : (
        <div className="starting-all">
          <ToggleButton
            className="button button-ruled hear-toggle"
            isSelected={isHearing(all)}
            onChange={(isOn) => hear(all, isOn)}
          >
            Audition all
          </ToggleButton>
          <Button
            look="main"
            isDisabled={chain === null || missing.length === 0}
            onPress={() => {
              if (chain !== null) putInChain(chain, missing)
            }}
          >
            Apply all to chain
          </Button>
        </div>
      )}
      {tried === null ? null : (
        <div className="starting-sides">
          <ToggleButtonGroup
            className="transport-sides"
            aria-label="Audition without or with the stages"
            selectionMode="single"
            disallowEmptySelection
            selectedKeys={[side]}
            onSelectionChange={(keys) => {
              for (const key of keys) player.setSide(key as Side)
            }}
          >
            <ToggleButton id="dry" className="transport-side">
              Without
            </ToggleButton>
            <ToggleButton id="processed" className="transport-side">
              With
            </ToggleButton>
          </ToggleButtonGroup>
          <span className="soft">{tried.stages.map(({ kind }) => STAGE_NAMES[kind]).join(', ')}</span>
        </div>
      )}
      <ol className="proposals">
        {proposals.map((proposal) => (
          <ProposalEntry
            key={proposal.stage.kind}
            proposal={proposal}
            rows={rows}
            isHeard={isHearing([proposal.stage])}
            onHear={(isOn) => hear([proposal.stage], isOn)}
            onPut={chain === null ? null : () => putInChain(chain, [proposal.stage])}
          />
        ))}
      </ol>
      {missing.length === all.length || chain === null ? null : (
        <p className="starting-after">
          The applied settings are a draft: undo them here, or save them in Chain.{' '}
          <Button look="plain" onPress={onOpenChain}>
            Open in Chain
          </Button>
        </p>
      )}
    </section>
  )
}

interface ProposalEntryProps {
  readonly proposal: StageProposal
  readonly rows: ChainRows
  readonly isHeard: boolean
  readonly onHear: (isOn: boolean) => void
  /** null without a chain to apply it to. */
  readonly onPut: (() => void) | null
}

function ProposalEntry({ proposal, rows, isHeard, onHear, onPut }: ProposalEntryProps) {
  const { stage, evidence, confidence } = proposal
  const name = STAGE_NAMES[stage.kind]
  const isIn = isTakenIn(rows, stage)
  const there = rows.find((row) => row.stage.kind === stage.kind)?.stage
  return (
    <li className="proposal" data-heard={isHeard || undefined}>
      <div className="proposal-head">
        <h3>{name}</h3>
        <span className="proposal-confidence soft">
          <meter className="confidence" min={0} max={1} value={confidence} aria-hidden="true" />
          {confidenceWords(confidence)}
        </span>
      </div>
      <ul className="proposal-settings number">
        {settingLines(stage).map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
      {evidence.map(evidenceSentence).map((sentence) => (
        <p key={sentence}>{asRead(sentence)}</p>
      ))}
      <p className="soft">
        {isIn
          ? 'Applied as suggested.'
          : `${takingInWords(rows, stage)}${there === undefined ? '' : ` Now: ${summaryOf(there)}.`}`}
      </p>
      <div className="proposal-acts">
        <ToggleButton
          className="button button-ruled hear-toggle"
          aria-label={`Audition ${name}`}
          isSelected={isHeard}
          onChange={onHear}
        >
          Audition
        </ToggleButton>
        <Button
          aria-label={`${isIn ? 'Applied to chain' : 'Apply to chain'}: ${name}`}
          isDisabled={isIn || onPut === null}
          onPress={() => onPut?.()}
        >
          {isIn ? 'Applied to chain' : 'Apply to chain'}
        </Button>
      </div>
    </li>
  )
}
