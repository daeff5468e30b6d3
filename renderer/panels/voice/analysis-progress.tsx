// How far listening to takes has come, for the page that waits for it: takes that were never
// analysed are listened to first. Leaving the page ends it.

import { Progress } from '../../parts/progress.tsx'
import { createStore, useStore } from '../../state/store.ts'

interface RunningAnalysis {
  readonly fraction: number
  readonly doing: string
}

const running = createStore<Readonly<Record<string, RunningAnalysis>>>({})

/** Takes progress for one question, which `of` names. */
export const trackProgress =
  (of: string) =>
  (fraction: number, doing: string): void =>
    running.set((now) => ({ ...now, [of]: { fraction, doing } }))

/** Forgets how far the question had come: the next time it starts from nothing. */
export const clearProgress = (of: string): void => running.set(({ [of]: _gone, ...others }) => others)

/** @param otherwise what is said until the first progress comes */
export function AnalysisProgress({ of, otherwise }: { of: string; otherwise: string }) {
  const progress = useStore(running)[of]
  return (
    <div className="voice-says">
      <p className="soft" role="status">
        {progress === undefined ? otherwise : `${progress.doing}…`}
      </p>
      {progress === undefined ? null : (
        <div className="voice-progress">
          <Progress label={progress.doing} fraction={progress.fraction} />
          <p className="soft">Each take is analysed once. Leaving this page cancels the analysis.</p>
        </div>
      )}
    </div>
  )
}
