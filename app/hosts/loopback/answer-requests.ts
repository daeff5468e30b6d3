// Answers admitted requests with the window's files or data, and refuses all others.

import type { IncomingMessage, Server, ServerResponse } from 'node:http'
import type { Workplace } from '../../services/workplace.ts'
import { answerWindowFile, createWindowAnswers } from '../window-answers.ts'
import { type Admission, admit, type Door, type Gate, KEYLESS, sessionCookie } from './admission.ts'
import { bodyLimitOf } from './bodies.ts'
import { answerAsNode, requestOf, urlOf } from './fetch-bridge.ts'
import { dropRest, refuse, TOO_MANY } from './refusal.ts'
import { noSuchMethod, shapeRefusal } from './request-shape.ts'
import { WELCOME_POLICY, welcomePage } from './welcome-page.ts'

/** @param offerAddress called when a browser that has no session wants to see the page */
export function answerRequests(
  server: Server,
  { gate, keys, connections }: Door,
  workplace: Workplace,
  offerAddress: () => void,
  logUnexpected: (error: unknown) => void,
): void {
  const answers = createWindowAnswers(workplace)

  const answer = async (request: IncomingMessage, response: ServerResponse): Promise<void> => {
    const misshapen = shapeRefusal(request)
    if (misshapen !== null) return refuse(request, response, misshapen)
    const admission = admit(request, gate, keys)
    if (admission.kind === 'refused') {
      if (admission.wantsAddress) offerAddress()
      return refuse(request, response, admission.refusal)
    }
    if (!connections.letIn(request.socket)) return refuse(request, response, TOO_MANY)
    if (admission.kind !== 'in') return showIn(response, admission, gate)
    if (!admission.hasPageKey) {
      const file = await answerWindowFile(requestOf(request, gate, null))
      return file.ok ? answerAsNode(response, file) : refuse(request, response, KEYLESS)
    }

    const isSending = request.method === 'PUT'
    const limit = isSending ? await bodyLimitOf(urlOf(request, gate).pathname, workplace) : null
    if (isSending && limit === null) return refuse(request, response, noSuchMethod(['GET', 'HEAD']))
    if (limit !== null && Number(request.headers['content-length'] ?? 0) > limit.bytes) {
      await answerAsNode(response, Response.json(limit.failure().toData(), { status: 413 }))
    } else {
      await answerAsNode(response, await answers(requestOf(request, gate, limit)))
    }
    dropRest(request)
  }

  server.on('request', (request, response) => {
    if (!connections.begin(request, response)) {
      request.socket.destroy()
      return
    }
    // A write failed because the browser has disconnected; there is nobody to report to.
    response.on('error', () => {})
    answer(request, response).catch((error: unknown) => {
      logUnexpected(error)
      if (!response.headersSent) response.writeHead(500)
      response.end()
    })
  })
}

/** Forwards the browser to the page; a new session gets its cookie and page key first. */
function showIn(
  response: ServerResponse,
  admission: Exclude<Admission, { kind: 'in' | 'refused' }>,
  gate: Gate,
): void {
  const headers = { 'cache-control': 'no-store', 'referrer-policy': 'no-referrer' }
  if (admission.kind === 'known') {
    response.writeHead(303, { ...headers, location: admission.page })
    response.end()
    return
  }
  response.writeHead(200, {
    ...headers,
    'set-cookie': sessionCookie(admission.session, gate),
    'content-type': 'text/html; charset=utf-8',
    'content-security-policy': WELCOME_POLICY,
  })
  response.end(welcomePage(admission.session.pageKey, admission.page))
}
