// The buttons that play two versions of a chain on one take at equal loudness.

import { useQuery } from '@tanstack/react-query'
import { useEffect, useState } from 'react'
import type { ChainStages } from '../../../../app/contract/chain-document.ts'
import { takeTarget } from '../../../panels/by-ear/ear-target.ts'
import { loweredWords, loweringsFor } from '../../../panels/by-ear/equal-loudness.ts'
import { audition, endAudition } from '../../../panels/voice/audition.ts'
import { Button } from '../../../parts/button.tsx'
import { messageOf } from '../../../state/notices.ts'
import { sessionContentsQuery } from '../../../state/queries.ts'

export interface HearVersionsProps {
  readonly sessionId: number
  readonly takeId: number
  readonly names: readonly [string, string]
  readonly versions: readonly [ChainStages, ChainStages]
}

type State =
  | { readonly is: 'idle' }
  | { readonly is: 'measuring' }
  | { readonly is: 'ready'; readonly loweredDb: readonly number[]; readonly heard: 0 | 1 }
  | { readonly is: 'failed'; readonly message: string }

export function HearVersions({ sessionId, takeId, names, versions }: HearVersionsProps) {
  const contents = useQuery(sessionContentsQuery(sessionId)).data
  const take = contents?.takes.find(({ id }) => id === takeId)
  const [state, setState] = useState<State>({ is: 'idle' })
  const [abort] = useState(() => new AbortController())
  useEffect(
    () => () => {
      abort.abort()
      endAudition()
    },
    [abort],
  )
  if (contents === undefined || take === undefined) return null
  const { sampleRateHz } = contents.session

  const hear = async (which: 0 | 1): Promise<void> => {
    let loweredDb: readonly number[] | null = state.is === 'ready' ? state.loweredDb : null
    if (loweredDb === null) {
      setState({ is: 'measuring' })
      try {
        loweredDb = await loweringsFor(takeTarget(take, sampleRateHz).source, versions, abort.signal)
      } catch (error) {
        if (!abort.signal.aborted) setState({ is: 'failed', message: messageOf(error) })
        return
      }
      if (abort.signal.aborted) return
    }
    if (loweredDb === null) {
      setState({ is: 'failed', message: `${take.name} is too quiet to compare the loudness by.` })
      return
    }
    audition(take, sampleRateHz, versions[which], loweredDb[which])
    setState({ is: 'ready', loweredDb, heard: which })
  }

  return (
    <div className="book-hear">
      {([0, 1] as const).map((which) => (
        <Button
          key={which}
          aria-pressed={state.is === 'ready' && state.heard === which}
          isDisabled={state.is === 'measuring'}
          onPress={() => void hear(which)}
        >
          Hear {names[which]}
        </Button>
      ))}
      <span className="soft" role="status">
        {state.is === 'measuring' ? 'Measuring the loudness of both…' : null}
        {state.is === 'ready' ? loudnessWords(state.loweredDb) : null}
        {state.is === 'failed' ? state.message : null}
      </span>
    </div>
  )
}

function loudnessWords([first, second]: readonly number[]): string {
  return `At equal loudness: the first ${loweredWords(first)}, the second ${loweredWords(second)}.`
}
