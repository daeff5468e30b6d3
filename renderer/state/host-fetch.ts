// Requests to the host that serves this page, with the page key if the host has issued one.

import { PAGE_KEY_HEADER, PAGE_KEY_ITEM } from '../../app/contract/wire/page-key.ts'

/** null in Electron, and if the browser's storage has been cleared. */
export const readPageKey = (): string | null => localStorage.getItem(PAGE_KEY_ITEM)

/** As fetch. @param path on the page's own origin */
export function fetchFromHost(path: string, options: Omit<RequestInit, 'headers'> = {}): Promise<Response> {
  const key = readPageKey()
  return fetch(path, key === null ? options : { ...options, headers: { [PAGE_KEY_HEADER]: key } })
}
