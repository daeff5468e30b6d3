// The page that a one-time address opens: it stores the page key in localStorage and forwards to the window.
// It uses a script instead of an HTTP redirect, because a redirect could pass the key only in the address,
// and because a browser that comes from a file would not send the SameSite=Strict cookie along.

import { createHash } from 'node:crypto'
import { PAGE_KEY_ITEM } from '../../contract/wire/page-key.ts'
import { escapeHtml } from './forward-page.ts'

const SCRIPT = `
const { item, key, page } = document.currentScript.dataset
localStorage.setItem(item, key)
document.documentElement.hidden = true
location.replace(page)
`

/** Content-Security-Policy of the page: allows its one script, by hash. */
export const WELCOME_POLICY = `default-src 'none'; script-src 'sha256-${createHash('sha256')
  .update(SCRIPT)
  .digest('base64')}'; frame-ancestors 'none'`

/** @param page path of the window. The visible text is for browsers in which the script cannot forward. */
export function welcomePage(pageKey: string, page: string): string {
  const data = { item: PAGE_KEY_ITEM, key: pageKey, page }
  const attributes = Object.entries(data).map(([name, value]) => ` data-${name}="${escapeHtml(value)}"`)
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<meta charset="utf-8">',
    '<meta name="referrer" content="no-referrer">',
    '<title>Takeloft</title>',
    `<script${attributes.join('')}>${SCRIPT}</script>`,
    '<p>Takeloft needs scripts and site data in this browser. Allow both for this page, start Takeloft again, ' +
      'and open its new address.</p>',
    '</html>',
    '',
  ].join('\n')
}
