// Serves the files of the built window, with a content security policy.

import { readFile } from 'node:fs/promises'
import { extname, join, normalize, sep } from 'node:path'
import { fileURLToPath } from 'node:url'

/** The relative path is the same from app/services and from out/main. */
export const WINDOW_FOLDER = fileURLToPath(new URL('../../out/renderer', import.meta.url))

/**
 * Allows only the window's own origin. Styles may be inline, because waveforms are drawn in
 * shadow trees that contain their own.
 */
const CONTENT_SECURITY_POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "worker-src 'self'",
  "style-src 'self' 'unsafe-inline'",
  "img-src 'self' data: blob:",
  "font-src 'self'",
  "connect-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ')

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.woff2': 'font/woff2',
}

/** The window's file for a request; 404 if there is none. */
export async function readWindowFile(request: Request): Promise<Response> {
  const path = pathOf(request)
  if (path === null) return notFound()
  try {
    return new Response(await readFile(path), {
      headers: {
        'content-type': TYPES[extname(path)],
        'content-security-policy': CONTENT_SECURITY_POLICY,
        'cache-control': 'no-cache',
      },
    })
  } catch {
    return notFound()
  }
}

/** null: not a file of the window, even if there is a file at that path. */
function pathOf(request: Request): string | null {
  if (request.method !== 'GET') return null
  let name: string
  try {
    name = decodeURIComponent(new URL(request.url).pathname)
  } catch {
    return null
  }
  const path = normalize(join(WINDOW_FOLDER, name === '/' ? 'index.html' : name))
  return extname(path) in TYPES && path.startsWith(WINDOW_FOLDER + sep) ? path : null
}

const notFound = (): Response =>
  new Response('Not found\n', { status: 404, headers: { 'content-type': 'text/plain' } })
