// Measurements of the stack, of the whole song or a part of it: loudness, peaks and mono compatibility.

import { useEffect, useState } from 'react'
import type { SessionContents } from '../../../app/contract/entities.ts'
import type { InputOf, OutputOf } from '../../../app/contract/wire/commands.ts'
import { formatLevel, formatNumber, withUnit } from '../../../app/words/format.ts'
import { monoSentences } from '../../formats/stack/mono-sentences.ts'
import {
  type RangeChoice,
  rangeItems,
  shownRange,
  songRangeOf,
  WHOLE_SONG,
} from '../../panels/bounce/song-range-choice.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { Progress } from '../../parts/progress.tsx'
import { client } from '../../state/connection.ts'
import { messageOf } from '../../state/notices.ts'
import { useSelection } from '../../state/selection.ts'

type State =
  | { readonly is: 'busy'; readonly fraction: number }
  | { readonly is: 'done'; readonly measured: OutputOf<'measureStack'> }
  | { readonly is: 'failed'; readonly message: string }

/** Measures when it opens; closing it cancels the measurement. */
export function StackMeasureDialog({
  contents,
  onClose,
}: {
  contents: SessionContents
  onClose: () => void
}) {
  const { session } = contents
  const { loop } = useSelection()
  const [choice, setChoice] = useState<RangeChoice>('song')
  const items = rangeItems(contents, loop)
  const shown = shownRange(choice, contents, loop)
  const range = songRangeOf({ ...WHOLE_SONG, range: shown }, contents, loop, session.sampleRateHz)
  // By its value: a new object of the same range must not measure again.
  const asked = JSON.stringify({ sessionId: session.id, range })
  const [state, setState] = useState<State>({ is: 'busy', fraction: 0 })
  useEffect(() => {
    const abort = new AbortController()
    setState({ is: 'busy', fraction: 0 })
    client
      .measureStack(JSON.parse(asked) as InputOf<'measureStack'>, {
        signal: abort.signal,
        onProgress: (fraction) => {
          if (!abort.signal.aborted) setState({ is: 'busy', fraction })
        },
      })
      .then(
        (measured) => {
          if (!abort.signal.aborted) setState({ is: 'done', measured })
        },
        (error: unknown) => {
          if (!abort.signal.aborted) setState({ is: 'failed', message: messageOf(error) })
        },
      )
    return () => abort.abort()
  }, [asked])

  return (
    <Dialog title={`Stack levels: ${session.songTitle}`} isOpen onClose={onClose}>
      {items.length === 1 ? null : (
        <Select
          label="Part of the song"
          items={items}
          value={shown}
          onChange={(key) => setChoice(key ?? 'song')}
        />
      )}
      <p className="soft">
        {items.find(({ key }) => key === shown)?.name} through the saved chains, as it will be bounced.
      </p>
      {state.is === 'busy' ? <Progress label="Measuring the stack" fraction={state.fraction} /> : null}
      <DialogFailure message={state.is === 'failed' ? state.message : null} />
      {state.is === 'done' ? <Measured measured={state.measured} /> : null}
      <DialogButtons>
        <Button look="main" onPress={onClose}>
          {state.is === 'busy' ? 'Cancel' : 'Close'}
        </Button>
      </DialogButtons>
    </Dialog>
  )
}

function Measured({ measured }: { measured: OutputOf<'measureStack'> }) {
  const { mono } = measured
  const facts = [
    ['Integrated loudness', formatLevel(measured.integratedLufs, 'LUFS')],
    ['Loudness range', formatLevel(measured.loudnessRangeLu, 'LU')],
    ['Max short-term', formatLevel(measured.maxShortTermLufs, 'LUFS')],
    ['True peak', formatLevel(measured.truePeakDbtp, 'dBTP')],
    ['Sample peak', formatLevel(measured.samplePeakDbfs, 'dBFS')],
    ['Mono fold-down loss', formatLevel(mono.lossDb === null ? null : -mono.lossDb, 'dB')],
    ['Correlation, 5th percentile', mono.correlationP5 === null ? '—' : formatNumber(mono.correlationP5, 2)],
    [
      'Out of phase',
      mono.opposedPercent === null ? '—' : withUnit(formatNumber(mono.opposedPercent, 0), '% of the time'),
    ],
  ] as const
  return (
    <>
      {measured.missing.length === 0 ? null : (
        <p className="dialog-failure">
          Measured without {measured.missing.join(', ')}:{' '}
          {measured.missing.length === 1 ? 'its file is' : 'their files are'} missing.
        </p>
      )}
      <table className="stack-facts">
        <tbody>
          {facts.map(([name, value]) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              <td className="number">{value}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <ul className="stack-mono" aria-label="Mono compatibility">
        {monoSentences(mono).map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </>
  )
}
