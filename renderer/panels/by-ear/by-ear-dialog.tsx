// Compares up to four versions of the voice's chains by ear on one take or in the stack, at equal loudness and blind if wanted;
// switching keeps the place.

import { useQueries, useQuery } from '@tanstack/react-query'
import { useEffect, useRef, useState } from 'react'
import type { ChainStages } from '../../../app/contract/chain-document.ts'
import type { ChainVersion } from '../../../app/contract/entities.ts'
import { formatMoment } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { versionNumber } from '../../formats/chain/version-words.ts'
import { ariaKeysOf, type KeyActName, keyActOf } from '../../keys/key-table.ts'
import { useKeyDown } from '../../keys/use-key-down.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { Checkbox } from '../../parts/fields/checkbox.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { messageOf } from '../../state/notices.ts'
import { chainsQuery, chainVersionsQuery } from '../../state/queries.ts'
import { choose, type EarRounds, isOrderShown, newRounds, nextRound } from './ear-rounds.ts'
import type { EarTarget } from './ear-target.ts'
import { loweredWords, loweringsFor } from './equal-loudness.ts'
import './by-ear.css'

const LETTERS = ['A', 'B', 'C', 'D'] as const
const HEAR_ACTS: readonly KeyActName[] = ['hearA', 'hearB', 'hearC', 'hearD']
/** Stands for the settings as edited where a version id is expected. */
const CURRENT = 0
const NONE = -1

interface Candidate {
  readonly key: number
  readonly name: string
  readonly detail: string
  readonly stages: ChainStages
}

export interface ByEarDialogProps {
  readonly target: EarTarget
  readonly voiceId: number
  /** The settings as edited. */
  readonly current: ChainStages
  /** The version they come from; null if they were never saved. */
  readonly from: ChainVersion | null
  /** How the current settings are named. */
  readonly currentName?: string
  readonly onClose: () => void
}

export function ByEarDialog(props: ByEarDialogProps) {
  const { voiceId, current, from, currentName = 'Current settings', onClose } = props
  // The same as long as the dialog is open, whatever is read again meanwhile.
  const [target] = useState(props.target)
  const candidates = useCandidates(voiceId, current, currentName)
  const [picked, setPicked] = useState<readonly number[]>(() => [CURRENT, from?.id ?? NONE, NONE, NONE])
  const [isBlind, setIsBlind] = useState(false)
  const chosen = picked.flatMap((key) => candidates.find((one) => one.key === key) ?? [])
  return (
    <Dialog title="Compare by ear" isOpen onClose={onClose} width="wide">
      <p className="soft">
        {target.on} Switching keeps the place in the {target.placeIn}; louder versions are lowered, so that
        loudness does not decide.
      </p>
      <div className="by-ear-picks">
        {LETTERS.map((letter, place) => (
          <Select
            key={letter}
            label={`Version ${place + 1}`}
            items={[
              ...(place < 2 ? [] : [{ key: NONE, name: 'None', detail: '' }]),
              ...candidates.filter(({ key }) => key === picked[place] || !picked.includes(key)),
            ]}
            value={picked[place]}
            placeholder="Choose a version"
            onChange={(key) => setPicked(picked.map((old, n) => (n === place ? (key ?? NONE) : old)))}
          />
        ))}
      </div>
      <Checkbox isSelected={isBlind} onChange={setIsBlind}>
        Blind: hide which is which until one is chosen
      </Checkbox>
      {chosen.length < 2 ? (
        <p className="soft">Choose two versions or more.</p>
      ) : (
        <Rounds
          key={`${isBlind} ${chosen.map(({ key }) => key).join(' ')}`}
          {...{ target, isBlind, versions: chosen }}
        />
      )}
      <DialogButtons>
        <Button look="main" onPress={onClose}>
          Close
        </Button>
      </DialogButtons>
    </Dialog>
  )
}

/** The settings as edited and all versions of the voice's chains, newest first in each chain. */
function useCandidates(voiceId: number, current: ChainStages, name: string): readonly Candidate[] {
  const chains = useQuery(chainsQuery(voiceId)).data ?? []
  const versions = useQueries({ queries: chains.map(({ id }) => chainVersionsQuery(id)) })
  return [
    { key: CURRENT, name, detail: 'as edited', stages: current },
    ...versions.flatMap(({ data }) =>
      (data ?? [])
        .toSorted((a, b) => b.id - a.id)
        .map((version) => ({
          key: version.id,
          name: `${version.chainName} ${versionNumber(version)}`,
          detail: `${formatMoment(version.createdAt)}${version.note === '' ? '' : `, ${version.note}`}`,
          stages: version.stages,
        })),
    ),
  ]
}

interface RoundsProps {
  readonly target: EarTarget
  readonly isBlind: boolean
  readonly versions: readonly Candidate[]
}

type Loudness =
  | { readonly is: 'measuring' }
  | { readonly is: 'ready'; readonly loweredDb: readonly number[] }
  | { readonly is: 'failed'; readonly message: string }

function Rounds({ target, isBlind, versions }: RoundsProps) {
  const [rounds, setRounds] = useState<EarRounds>(() => newRounds(versions.length, isBlind, Math.random))
  /** The button that is heard. */
  const [heard, setHeard] = useState<number | null>(null)
  const loudness = useLoudness(target, versions)
  const isShown = isOrderShown(rounds)

  const hear = (button: number): void => {
    if (loudness.is !== 'ready' || button >= versions.length) return
    const played = rounds.order[button]
    target.hear(versions[played].stages, loudness.loweredDb[played])
    setHeard(button)
  }
  useKeyDown((event) => {
    const act = keyActOf(event, 'byEar')
    if (act === null) return
    const button = HEAR_ACTS.indexOf(act)
    event.preventDefault()
    hear(button)
  })

  const made = rounds.counts.reduce((sum, count) => sum + count, 0)
  return (
    <section className="by-ear-rounds" aria-label="Versions to hear">
      <div className="by-ear-buttons">
        {versions.map((version, button) => {
          const played = rounds.order[button]
          return (
            <div key={version.key} className="by-ear-version">
              <Button
                className="by-ear-hear"
                aria-pressed={heard === button}
                aria-keyshortcuts={ariaKeysOf(HEAR_ACTS[button])}
                isDisabled={loudness.is !== 'ready'}
                onPress={() => hear(button)}
              >
                <strong>{LETTERS[button]}</strong>
                <span>{isShown ? versions[played].name : 'hidden'}</span>
              </Button>
              {isShown && loudness.is === 'ready' ? (
                <span className="soft number">{loweredWords(loudness.loweredDb[played])}</span>
              ) : null}
              {isBlind ? (
                <Button
                  look="plain"
                  isDisabled={heard !== button || rounds.chosen !== null}
                  onPress={() => setRounds(choose(rounds, button))}
                >
                  Choose {LETTERS[button]}
                </Button>
              ) : null}
            </div>
          )
        })}
      </div>
      <p role="status">
        {loudness.is === 'measuring'
          ? `Measuring the loudness of ${versions.length} versions…`
          : loudness.is === 'failed'
            ? loudness.message
            : isBlind
              ? rounds.chosen === null
                ? `${countOf(made, 'choice')} so far. Press A to ${LETTERS[versions.length - 1]}, or 1 to ${versions.length}, then choose.`
                : `${versions[rounds.chosen].name} was chosen. ${countsOf(versions, rounds)}`
              : `Press A to ${LETTERS[versions.length - 1]}, or 1 to ${versions.length}.`}
      </p>
      {rounds.chosen === null ? null : (
        <Button
          onPress={() => {
            setHeard(null)
            target.end()
            setRounds(nextRound(rounds, Math.random))
          }}
        >
          Hide again
        </Button>
      )}
    </section>
  )
}

function useLoudness(target: EarTarget, versions: readonly Candidate[]): Loudness {
  const [loudness, setLoudness] = useState<Loudness>({ is: 'measuring' })
  const stages = useRef(versions.map((version) => version.stages))
  useEffect(() => {
    const abort = new AbortController()
    loweringsFor(target.source, stages.current, abort.signal)
      .then((loweredDb) => {
        if (abort.signal.aborted) return
        setLoudness(
          loweredDb === null
            ? { is: 'failed', message: `The ${target.placeIn} is too quiet to compare the loudness by.` }
            : { is: 'ready', loweredDb },
        )
      })
      .catch((error: unknown) => {
        if (!abort.signal.aborted) setLoudness({ is: 'failed', message: messageOf(error) })
      })
    return () => {
      abort.abort()
      target.end()
    }
  }, [target])
  return loudness
}

const countsOf = (versions: readonly Candidate[], { counts }: EarRounds): string => {
  const made = counts.reduce((sum, count) => sum + count, 0)
  return `Of ${countOf(made, 'choice')}: ${versions.map(({ name }, n) => `${name} ${counts[n]}`).join(', ')}.`
}
