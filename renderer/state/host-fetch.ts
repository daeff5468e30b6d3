// Requests to the host that serves this page, with the page key if the host has issued one.

import { PAGE_KEY_HEADER, PAGE_KEY_ITEM } from '../../app/contract/wire/page-key.ts'

/** null in Electron, and if the browser's storage has been cleared. */
export const readPageKey = (): string | null => localStorage.getItem(PAGE_KEY_ITEM)

/**
 * Sends a file in a PUT request. fetch does not report the progress of what it sends.
 * @param path on the page's own origin
 * @param onProgress called with the number of bytes sent
 * @throws DOMException AbortError; Error when the connection is lost
 */
export function sendToHost(
  path: string,
  file: Blob,
  { signal, onProgress }: { readonly signal?: AbortSignal; readonly onProgress: (bytes: number) => void },
): Promise<{ readonly status: number; readonly text: string }> {
  return new Promise((resolve, reject) => {
    signal?.throwIfAborted()
    const request = new XMLHttpRequest()
    request.open('PUT', path)
    const key = readPageKey()
    if (key !== null) request.setRequestHeader(PAGE_KEY_HEADER, key)
    const abort = (): void => request.abort()
    signal?.addEventListener('abort', abort)
    request.upload.addEventListener('progress', ({ loaded }) => onProgress(loaded))
    request.addEventListener('load', () => resolve({ status: request.status, text: request.responseText }))
    request.addEventListener('error', () => reject(new Error('the connection was lost')))
    request.addEventListener('abort', () => reject(new DOMException('aborted', 'AbortError')))
    request.addEventListener('loadend', () => signal?.removeEventListener('abort', abort))
    request.send(file)
  })
}

/** As fetch. @param path on the page's own origin */
export function fetchFromHost(path: string, options: Omit<RequestInit, 'headers'> = {}): Promise<Response> {
  const key = readPageKey()
  return fetch(path, key === null ? options : { ...options, headers: { [PAGE_KEY_HEADER]: key } })
}
