// Renders a bounce again and compares the files byte for byte.

import { useEffect, useRef, useState } from 'react'
import type { Verification } from '../../../app/contract/wire/commands.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { Button } from '../../parts/button.tsx'
import { Progress } from '../../parts/progress.tsx'
import { client } from '../../state/connection.ts'
import { messageOf } from '../../state/notices.ts'
import './bounce-files.css'

type State =
  | { readonly is: 'idle' }
  | { readonly is: 'busy'; readonly fraction: number }
  | { readonly is: 'done'; readonly verification: Verification }
  | { readonly is: 'failed'; readonly message: string }

/** Shows progress and outcome beside the button, since dialogs cover the message line. */
export function VerifyBounce({ manifestPath, name }: { manifestPath: string; name: string }) {
  const [state, setState] = useState<State>({ is: 'idle' })
  const abort = useRef<AbortController | null>(null)
  useEffect(() => () => abort.current?.abort(), [])

  const verify = async (): Promise<void> => {
    const mine = new AbortController()
    abort.current = mine
    setState({ is: 'busy', fraction: 0 })
    try {
      const verification = await client.verifyBounce(
        { manifestPath },
        {
          signal: mine.signal,
          onProgress: (fraction) => {
            if (!mine.signal.aborted) setState({ is: 'busy', fraction })
          },
        },
      )
      setState({ is: 'done', verification })
    } catch (error) {
      setState(mine.signal.aborted ? { is: 'idle' } : { is: 'failed', message: messageOf(error) })
    }
  }

  return (
    <div className="verify-bounce">
      {state.is === 'busy' ? (
        <>
          <Button aria-label={`Cancel verifying ${name}`} onPress={() => abort.current?.abort()}>
            Cancel
          </Button>
          <Progress label={`Verifying ${name}`} fraction={state.fraction} />
        </>
      ) : (
        <Button aria-label={`Verify ${name}`} onPress={() => void verify()}>
          Verify
        </Button>
      )}
      <div role="status" className="verify-bounce-says">
        {state.is === 'failed' ? <p className="verify-bounce-differs">{state.message}</p> : null}
        {state.is !== 'done' ? null : <Outcome verification={state.verification} />}
      </div>
    </div>
  )
}

function Outcome({ verification: { same, differing, unverified } }: { verification: Verification }) {
  const isWhole = differing.length === 0 && unverified.length === 0
  return (
    <>
      {!isWhole && (same.length === 0 || unverified.length === 0) ? null : (
        <span>Identical: {countOf(same.length, 'stem')}, byte for byte.</span>
      )}
      {differing.map(({ stem, reason }) => (
        <p key={stem} className="verify-bounce-differs">
          {stem} differs: {reason}
        </p>
      ))}
      {unverified.map(({ stem, reason }) => (
        <p key={stem} className="verify-bounce-differs">
          {stem} was not verified: {reason}
        </p>
      ))}
    </>
  )
}
