// Asks for the file of a voice of another computer, shows what taking it in will do, and takes it in.

import { type FormEvent, type RefObject, useEffect, useRef, useState } from 'react'
import { FileTrigger } from 'react-aria-components'
import type { HistoryAnswers, HistoryMerge } from '../../../app/contract/exchange/merge.ts'
import { MAX_PATH } from '../../../app/contract/text/limits.ts'
import { discardSent, importVoice, pathOfChosen } from '../../acts/exchange/voices.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { bridge, client } from '../../state/connection.ts'
import { messageOf } from '../../state/notices.ts'
import { MergePreview } from './merge-preview.tsx'

/** A file that was looked at. */
interface Looked {
  readonly path: string
  readonly answers: HistoryAnswers
  readonly merge: HistoryMerge
  readonly questions: HistoryMerge['questions']
}

/** The copy that a browser has sent, under the name that the field shows. */
interface SentCopy {
  readonly name: string
  readonly path: string
}

function dropSent(sent: RefObject<SentCopy | null>): void {
  if (sent.current !== null) void discardSent(sent.current.path)
  sent.current = null
}

export function ImportVoiceDialog({ onClose }: { onClose: () => void }) {
  const [typed, setTyped] = useState('')
  const [looked, setLooked] = useState<Looked | null>(null)
  const [failure, setFailure] = useState<string | null>(null)
  const [isBusy, setBusy] = useState(false)
  const sent = useRef<SentCopy | null>(null)
  const closed = useRef(new AbortController())
  useEffect(() => {
    closed.current = new AbortController()
    return () => {
      closed.current.abort()
      dropSent(sent)
    }
  }, [])

  const run = async (act: () => Promise<void>): Promise<void> => {
    setFailure(null)
    setBusy(true)
    try {
      await act()
    } catch (error) {
      if (!closed.current.signal.aborted) setFailure(messageOf(error))
    } finally {
      setBusy(false)
    }
  }
  const look = (path: string, answers: HistoryAnswers, questions: HistoryMerge['questions'] | null) =>
    run(async () => {
      const merge = await client.previewVoice({ path, answers })
      setLooked({ path, answers, merge, questions: questions ?? merge.questions })
    })
  const lookAt = (name: string): Promise<void> =>
    look(sent.current?.name === name ? sent.current.path : name, [], null)
  const choose = (file: File): Promise<void> =>
    run(async () => {
      setLooked(null)
      dropSent(sent)
      const path = await pathOfChosen(file, closed.current.signal)
      if (closed.current.signal.aborted) return void discardSent(path)
      const name = bridge.sendsFiles ? file.name : path
      sent.current = bridge.sendsFiles ? { name, path } : null
      setTyped(name)
      await look(path, [], null)
    })
  const isNews =
    looked !== null &&
    looked.merge.added.length + looked.merge.changed.length + looked.merge.conflicts.length > 0
  const isOpen = looked !== null && looked.merge.questions.length > 0
  const submit = (event: FormEvent): void => {
    event.preventDefault()
    if (isBusy) return
    if (looked === null) {
      if (typed.trim() !== '') void lookAt(typed.trim())
      return
    }
    if (isNews && !isOpen) {
      void run(async () => {
        await importVoice(looked.path, looked.answers)
        onClose()
      })
    }
  }
  return (
    <Dialog title="Import a voice" isOpen onClose={onClose} width="wide">
      <form onSubmit={submit} className="exchange-form">
        <div className="exchange-file">
          <TextField
            label="File"
            value={typed}
            onChange={(text) => {
              setTyped(text)
              setLooked(null)
              setFailure(null)
            }}
            maxLength={MAX_PATH}
            autoFocus
            description="A voice that was exported on another computer. Nothing changes before it has been shown and taken in."
          />
          <FileTrigger
            acceptedFileTypes={['.zip']}
            onSelect={(files) => {
              const file = files?.[0]
              if (file !== undefined) void choose(file)
            }}
          >
            <Button isDisabled={isBusy}>Choose…</Button>
          </FileTrigger>
        </div>
        {looked === null ? null : (
          // biome-ignore lint/a11y/noNoninteractiveTabindex: a long list scrolls, also by keyboard
          <section className="exchange-preview" aria-label="What will come in" tabIndex={0}>
            <h3>{looked.merge.voices.join(', ')}</h3>
            <MergePreview
              merge={looked.merge}
              answers={looked.answers}
              questions={looked.questions}
              onAnswer={(answers) => void look(looked.path, answers, looked.questions)}
            />
          </section>
        )}
        <DialogFailure message={failure} />
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          {looked === null ? (
            <Button look="main" type="submit" isDisabled={typed.trim() === '' || isBusy}>
              Show what comes in
            </Button>
          ) : (
            <Button look="main" type="submit" isDisabled={isBusy || isOpen || !isNews}>
              Take in
            </Button>
          )}
        </DialogButtons>
      </form>
    </Dialog>
  )
}
