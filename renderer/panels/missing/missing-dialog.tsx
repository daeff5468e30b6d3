// Finds the files of missing takes: in a folder all at once, or one by one. A file is accepted if its bytes
// are those of the take.

import { type FormEvent, useEffect, useRef, useState } from 'react'
import { FileTrigger } from 'react-aria-components'
import type { SessionContents, Take } from '../../../app/contract/entities.ts'
import { Failure } from '../../../app/contract/failure.ts'
import { MAX_PATH } from '../../../app/contract/text/limits.ts'
import { ABSENCE_WORDS, firstNames, missingTakesWords } from '../../../app/words/missing-takes.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { importInstead, relinkTakes } from '../../acts/missing-acts.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { Progress } from '../../parts/progress.tsx'
import { bridge, client } from '../../state/connection.ts'
import { closeMissingFinder, useMissingFinder, useMissingTakes } from '../../state/missing-takes.ts'
import { messageOf } from '../../state/notices.ts'
import { useCurrentSession } from '../../state/queries.ts'
import './missing.css'

/** The dialog, while it is open. */
export function MissingTakes() {
  const { isOpen, takeId } = useMissingFinder()
  const contents = useCurrentSession().data
  if (!isOpen || contents === undefined) return null
  return <MissingDialog key={contents.session.id} contents={contents} firstTakeId={takeId} />
}

type Search =
  | { readonly is: 'idle' }
  | { readonly is: 'busy'; readonly fraction: number; readonly doing: string; cancel(): void }
  | { readonly is: 'failed'; readonly message: string }
  | { readonly is: 'done'; readonly sentence: string }

function MissingDialog({
  contents: { session, takes },
  firstTakeId,
}: {
  contents: SessionContents
  firstTakeId: number | null
}) {
  const places = useMissingTakes()
  const [folder, setFolder] = useState('')
  const [search, setSearch] = useState<Search>({ is: 'idle' })
  const [chosenId, setChosenId] = useState(firstTakeId)
  const running = useRef<AbortController>(null)
  useEffect(() => () => running.current?.abort(), [])
  const missing = takes.filter(({ id }) => places.has(id))
  const { chooseFolder } = bridge
  const isBusy = search.is === 'busy'

  const start = async (sessionId: number | null): Promise<void> => {
    const abort = new AbortController()
    running.current = abort
    const show = (next: Search): void => {
      if (running.current === abort) setSearch(next)
    }
    const busy = { is: 'busy', fraction: 0, doing: 'Listing the files', cancel: () => abort.abort() } as const
    show(busy)
    try {
      const { found, files, unread } = await client.searchMissingTakes(
        { sessionId, folder: folder.trim() },
        { signal: abort.signal, onProgress: (fraction, doing) => show({ ...busy, fraction, doing }) },
      )
      const nameOf = new Map(takes.map(({ id, name }) => [id, name]))
      const names = found.map(({ id }) => nameOf.get(id) ?? 'a take of another session')
      if (found.length > 0) await relinkTakes(found, names)
      const ids = new Set(found.map(({ id }) => id))
      const rest = missing.filter(({ id }) => !ids.has(id)).map(({ name }) => name)
      const others = found.filter(({ id }) => !nameOf.has(id)).length
      const sentence = sentenceOf(found.length - others, rest, files, unread)
      show({
        is: 'done',
        sentence:
          others === 0 ? sentence : `${sentence} ${countOf(others, 'take')} of other sessions found as well.`,
      })
    } catch (error) {
      show(
        abort.signal.aborted
          ? { is: 'done', sentence: 'Cancelled; nothing was changed.' }
          : { is: 'failed', message: messageOf(error) },
      )
    }
  }
  const submit = (event: FormEvent): void => {
    event.preventDefault()
    void start(session.id)
  }

  return (
    <Dialog title="Find missing takes" isOpen onClose={closeMissingFinder} width="wide">
      {missing.length === 0 ? (
        <p>Every take of this session has its file.</p>
      ) : (
        <>
          <p>
            {missingTakesWords(missing.flatMap(({ id }) => places.get(id)?.state ?? []))} Playback leaves
            missing takes silent; a bounce needs all of its takes.
          </p>
          <form onSubmit={submit}>
            <div className="missing-folder">
              <TextField
                label="Folder to search, with its subfolders"
                value={folder}
                onChange={setFolder}
                maxLength={MAX_PATH}
                placeholder={folderOf(places.get(missing[0].id)?.path ?? '')}
                autoFocus={firstTakeId === null}
              />
              {chooseFolder === null ? null : (
                <Button onPress={() => void chooseFolder(folder).then((path) => setFolder(path ?? folder))}>
                  Choose…
                </Button>
              )}
              <Button type="submit" look="main" isDisabled={folder.trim() === '' || isBusy}>
                Find in folder
              </Button>
              <Button isDisabled={folder.trim() === '' || isBusy} onPress={() => void start(null)}>
                Find takes of all sessions
              </Button>
            </div>
          </form>
        </>
      )}
      {isBusy ? (
        <div className="missing-progress">
          <Progress label="Searching the folder" fraction={search.fraction} />
          <span className="soft">{search.doing}</span>
          <Button onPress={search.cancel}>Cancel search</Button>
        </div>
      ) : null}
      <DialogFailure message={search.is === 'failed' ? search.message : null} />
      {search.is === 'done' ? <p role="status">{search.sentence}</p> : null}
      {missing.length === 0 ? null : (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: the list scrolls, so the keyboard must reach it
        <ul className="dialog-list missing-list" aria-label="Missing takes" tabIndex={0}>
          {missing.map((take) => (
            <li key={take.id}>
              <div className="missing-line">
                <strong className="missing-name" title={take.name}>
                  {take.name}
                </strong>
                <span className="missing-where soft">
                  <span className="missing-path" title={places.get(take.id)?.path}>
                    {places.get(take.id)?.path}
                  </span>
                  {places.get(take.id)?.state === 'changed' ? <span>{ABSENCE_WORDS.changed}</span> : null}
                </span>
                <Button
                  aria-label={`Find file of ${take.name}…`}
                  aria-expanded={chosenId === take.id}
                  isDisabled={isBusy}
                  onPress={() => setChosenId(chosenId === take.id ? null : take.id)}
                >
                  Find file…
                </Button>
              </div>
              {chosenId === take.id && !isBusy ? (
                <FileChoice take={take} sessionId={session.id} onDone={() => setChosenId(null)} />
              ) : null}
            </li>
          ))}
        </ul>
      )}
      <DialogButtons>
        <Button onPress={closeMissingFinder}>Close</Button>
      </DialogButtons>
    </Dialog>
  )
}

interface FileChoiceProps {
  readonly take: Take
  readonly sessionId: number
  readonly onDone: () => void
}

/** Path of the file of one take. A file that is another recording can be imported as a new take. */
function FileChoice({ take, sessionId, onDone }: FileChoiceProps) {
  const [path, setPath] = useState('')
  const [isBusy, setBusy] = useState(false)
  const [copies, setCopies] = useState<readonly string[] | null>(null)
  const [failure, setFailure] = useState<{ readonly of: string; readonly error: unknown } | null>(null)
  const accept = async (chosen: string): Promise<void> => {
    setBusy(true)
    setFailure(null)
    try {
      await relinkTakes([{ id: take.id, path: chosen }], [take.name])
      onDone()
    } catch (error) {
      setFailure({ of: chosen, error })
    } finally {
      setBusy(false)
    }
  }
  const findCopies = async (): Promise<void> => {
    setBusy(true)
    setFailure(null)
    try {
      setCopies((await client.findTakeCopies({ takeId: take.id })).paths)
    } catch (error) {
      setFailure({ of: path, error })
    } finally {
      setBusy(false)
    }
  }
  const isOther = failure?.error instanceof Failure && failure.error.code === 'changed'
  return (
    <form
      className="missing-file"
      onSubmit={(event) => {
        event.preventDefault()
        void accept(path.trim())
      }}
    >
      <div className="missing-folder">
        <TextField
          label={`File of ${take.name}`}
          value={path}
          onChange={setPath}
          maxLength={MAX_PATH}
          autoFocus
        />
        <Button isDisabled={isBusy} onPress={() => void findCopies()}>
          Look for copies
        </Button>
        {bridge.sendsFiles ? null : (
          <FileTrigger
            onSelect={(files) => {
              const file = files?.[0]
              const chosen = file === undefined ? null : bridge.pathForFile(file)
              if (chosen === null) return
              setPath(chosen)
              void accept(chosen)
            }}
          >
            <Button>Choose…</Button>
          </FileTrigger>
        )}
        <Button type="submit" isDisabled={path.trim() === '' || isBusy}>
          Use this file
        </Button>
      </div>
      {copies === null ? null : copies.length === 0 ? (
        <p role="status">No copy with its bytes is known, in archives or elsewhere.</p>
      ) : (
        <ul className="dialog-list" aria-label={`Copies of ${take.name}`}>
          {copies.map((copy) => (
            <li key={copy} className="missing-folder">
              <span className="missing-path">{copy}</span>
              <Button
                aria-label={`Use the copy ${copy}`}
                isDisabled={isBusy}
                onPress={() => void accept(copy)}
              >
                Use this copy
              </Button>
            </li>
          ))}
        </ul>
      )}
      <DialogFailure message={failure === null ? null : messageOf(failure.error)} />
      {failure === null || !isOther ? null : (
        <Button
          className="missing-import"
          onPress={() => {
            void importInstead(sessionId, failure.of, take)
            onDone()
          }}
        >
          Import it as a new take
        </Button>
      )}
    </form>
  )
}

function sentenceOf(found: number, rest: readonly string[], files: number, unread: number): string {
  const all = found + rest.length
  return [
    `${found} of ${countOf(all, 'take')} found among ${countOf(files, 'file')}.`,
    ...(rest.length > 0 ? [`Still missing: ${firstNames(rest)}.`] : []),
    ...(unread > 0 ? [`${countOf(unread, 'file or folder', 'files or folders')} could not be read.`] : []),
  ].join(' ')
}

const folderOf = (path: string): string =>
  path.slice(0, Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\')))
