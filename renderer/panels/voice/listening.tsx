// How far listening to takes has come, for the page that waits for it: takes that were never
// analysed are listened to first. Leaving the page ends it.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { Progress } from '../../parts/progress.tsx'

interface Listening {
  readonly fraction: number
  readonly doing: string
}

const listenings = createStore<Readonly<Record<string, Listening>>>()(() => ({}))

/** Takes progress for one question, which `of` names. */
export const hearProgress =
  (of: string) =>
  (fraction: number, doing: string): void =>
    listenings.setState({ [of]: { fraction, doing } })

/** Forgets how far the question had come: the next time it starts from nothing. */
export const forgetProgress = (of: string): void =>
  listenings.setState(({ [of]: _gone, ...others }) => others, true)

/** @param otherwise what is said until the first progress comes */
export function ListeningLine({ of, otherwise }: { of: string; otherwise: string }) {
  const listening = useStore(listenings)[of]
  return (
    <div className="voice-says">
      <p className="soft" role="status">
        {listening === undefined ? otherwise : `${listening.doing}…`}
      </p>
      {listening === undefined ? null : (
        <div className="voice-progress">
          <Progress label={listening.doing} fraction={listening.fraction} />
          <p className="soft">Takes are listened to once for this. Go on with something else to end it.</p>
        </div>
      )}
    </div>
  )
}
