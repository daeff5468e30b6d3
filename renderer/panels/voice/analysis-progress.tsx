// Progress of a voice analysis, which first analyses takes that have no stored result. Leaving the
// page cancels it.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { Progress } from '../../parts/progress.tsx'

interface RunningAnalysis {
  readonly fraction: number
  readonly doing: string
}

const running = createStore<Readonly<Record<string, RunningAnalysis>>>()(() => ({}))

/** A progress callback that stores progress under the key `of`; `fraction` is 0 to 1. */
export const trackProgress =
  (of: string) =>
  (fraction: number, doing: string): void =>
    running.setState({ [of]: { fraction, doing } })

/** Removes stored progress, so that the next run starts at 0. */
export const clearProgress = (of: string): void =>
  running.setState(({ [of]: _gone, ...others }) => others, true)

/** @param of key of the progress @param otherwise text until the first progress arrives */
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
