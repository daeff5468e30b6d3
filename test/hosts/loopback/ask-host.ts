// One HTTP request with exactly the headers that are said, which fetch would not send.

import { type IncomingHttpHeaders, request } from 'node:http'

export interface Question {
  readonly method?: string
  readonly path: string
  readonly headers?: Record<string, string>
  readonly body?: Uint8Array | string
}

export interface HostAnswer {
  readonly status: number
  readonly headers: IncomingHttpHeaders
  readonly body: Buffer
}

/** @param address any address of the host; its own Host header is sent unless another is said */
export function askHost(address: string, question: Question): Promise<HostAnswer> {
  const { hostname, port } = new URL(address)
  const { method = 'GET', path, headers = {}, body } = question
  return new Promise((resolve, reject) => {
    const sent = request({ hostname, port, method, path, headers, agent: false }, (answer) => {
      const parts: Buffer[] = []
      answer.on('data', (part: Buffer) => parts.push(part))
      answer.on('error', reject)
      answer.on('end', () =>
        resolve({ status: answer.statusCode ?? 0, headers: answer.headers, body: Buffer.concat(parts) }),
      )
    })
    sent.on('error', reject)
    sent.end(body)
  })
}
