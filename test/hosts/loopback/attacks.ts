// What anybody can send to the loopback host, with a session and without: each attack is over once it
// has been answered or cut off.

import {
  BINARY,
  CLOSE,
  CONTINUATION,
  closeStatusOf,
  type Frame,
  frame,
  happens,
  head,
  openRaw,
  openRawWebSocket,
  PING,
  sendRaw,
  TEXT,
  upgradeHead,
} from './raw-socket.ts'

/** Where to: what a window would send is all that an attack needs to know. */
export interface Target {
  readonly port: number
  readonly headers: Readonly<Record<string, string>>
}

const MB = 2 ** 20
const hostOf = ({ port }: Target): string => `127.0.0.1:${port}`
const text = (what: string): Buffer => Buffer.from(what)

/** Frames of which the first is wrong, and the status that RFC 6455, section 7.4.1 has for it. */
export const BAD_FRAMES: readonly (readonly [what: string, status: number, frames: readonly Frame[]])[] = [
  ['is not masked', 1002, [{ opcode: TEXT, payload: text('{}'), isMasked: false }]],
  ['has a reserved kind', 1002, [{ opcode: 3, payload: text('x') }]],
  ['is a control of a reserved kind', 1002, [{ opcode: 11 }]],
  ['has reserved bits', 1002, [{ opcode: TEXT, payload: text('x'), reserved: 7 }]],
  ['says it is compressed', 1002, [{ opcode: TEXT, payload: text('x'), reserved: 4 }]],
  ['goes on with nothing', 1002, [{ opcode: CONTINUATION, payload: text('x') }]],
  [
    'begins within another',
    1002,
    [
      { opcode: TEXT, payload: text('x'), isLast: false },
      { opcode: TEXT, payload: text('x') },
    ],
  ],
  ['is a ping in parts', 1002, [{ opcode: PING, payload: text('x'), isLast: false }]],
  ['is a long ping', 1002, [{ opcode: PING, payload: Buffer.alloc(126) }]],
  ['closes with half a status', 1002, [{ opcode: CLOSE, payload: Buffer.from([3]) }]],
  ['closes with a status that is none', 1002, [{ opcode: CLOSE, payload: Buffer.from([0, 1]) }]],
  ['is no UTF-8', 1007, [{ opcode: TEXT, payload: Buffer.from([0xc3, 0x28]) }]],
  ['closes with no UTF-8', 1007, [{ opcode: CLOSE, payload: Buffer.from([3, 232, 0xff]) }]],
  ['is longer than numbers go', 1009, [{ opcode: BINARY, saidLength: 1n << 62n }]],
  ['is said to have 17 MB', 1009, [{ opcode: BINARY, saidLength: 17n * BigInt(MB) }]],
  ['has 17 MB', 1009, [{ opcode: TEXT, payload: Buffer.alloc(17 * MB, 'x') }]],
  [
    'has 17 MB in parts',
    1009,
    Array.from({ length: 17 }, (_, k) => ({
      opcode: k === 0 ? TEXT : CONTINUATION,
      payload: Buffer.alloc(MB, 'x'),
      isLast: k === 16,
    })),
  ],
  [
    'has very many parts',
    1008,
    Array.from({ length: 20_000 }, (_, k) => ({
      opcode: k === 0 ? TEXT : CONTINUATION,
      payload: text('x'),
      isLast: false,
    })),
  ],
]

export async function sendFrames(target: Target, frames: readonly Frame[]): Promise<number | null> {
  const socket = await openRawWebSocket(target.port, target.headers)
  socket.write(Buffer.concat(frames.map(frame)))
  return closeStatusOf(socket)
}

const askWith = (input: string): string => `{"type":"ask","id":1,"command":"readWorkplace","input":${input}}`

/** Messages of 16 MB of which JSON.parse makes gigabytes. */
export const DEEP_MESSAGES: readonly (readonly [what: string, text: string])[] = [
  ['lists within lists', askWith(`${'['.repeat(8e6)}${']'.repeat(8e6)}`)],
  ['lists that never end', askWith('['.repeat(16e6))],
  ['objects within objects', askWith(`${'{"a":'.repeat(2.5e6)}1${'}'.repeat(2.5e6)}`)],
  ['millions of empty lists', askWith(`[${'[],'.repeat(5e6)}[]]`)],
]

/** Messages that are whole, and mean nothing. */
export const STRANGE_MESSAGES: readonly string[] = [
  '',
  'null',
  '[]',
  '{',
  '"ask"',
  '{"type":"ask"}',
  '{"type":"ask","id":1e400,"command":"listArtists","input":{}}',
  '{"type":"ask","id":1,"command":"__proto__","input":{}}',
  '{"type":"ask","id":2,"command":"toString","input":{}}',
  '{"type":"ask","id":3,"command":"listArtists","input":{"__proto__":{"x":1}}}',
  '{"type":"cancel","id":-1}',
  '{"type":"done","id":1,"output":1}',
  `{"type":"ask","id":4,"command":"createArtist","input":${'['.repeat(1_000_000)}${']'.repeat(1_000_000)}}`,
  `{"type":"ask","id":5,"command":"${'x'.repeat(1_000_000)}","input":{}}`,
]

/** Bytes that are no request, or a wrong one, and the status that says so; null: cut off without a word. */
export function badRequests(target: Target): readonly (readonly [string, number, string | Buffer])[] {
  const own = { Host: hostOf(target) }
  const get = (headers: Record<string, string>): string => head('GET / HTTP/1.1', { ...own, ...headers })
  return [
    // The first bytes of a TLS handshake (RFC 8446, section 5.1).
    ['begins to speak TLS', 400, Buffer.from('16030100a5010000a1030300', 'hex')],
    ['is noise', 400, Buffer.alloc(4_096, 0xfe)],
    ['has zeros', 400, Buffer.alloc(64)],
    ['has an unknown method', 405, head('BREW / HTTP/1.1', own)],
    ['has the method of a proxy', 405, head('CONNECT 127.0.0.1:80 HTTP/1.1', own)],
    ['has the method TRACE', 405, head('TRACE / HTTP/1.1', own)],
    ['asks a proxy for an address', 400, head('GET http://127.0.0.1/ HTTP/1.1', own)],
    ['asks a proxy for its own address', 400, head(`GET http://${own.Host}/ HTTP/1.1`, own)],
    ['asks for all', 405, head('OPTIONS * HTTP/1.1', own)],
    ['names no host', 400, head('GET / HTTP/1.1', {})],
    ['names no host in HTTP/1.0', 400, head('GET / HTTP/1.0', {})],
    ['has another version', 400, head('GET / HTTP/9.9', own)],
    ['has a zero in a header', 400, get({ 'x-a': 'a\0b' })],
    ['has a header without a name', 400, `GET / HTTP/1.1\r\nHost: ${own.Host}\r\n: x\r\n\r\n`],
    ['has 64 kB of headers', 431, get({ 'x-a': 'x'.repeat(65_536) })],
    [
      'has two lengths',
      400,
      `GET / HTTP/1.1\r\nHost: ${own.Host}\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\n`,
    ],
    ['has a length below zero', 400, get({ 'Content-Length': '-1' })],
    ['has a length and parts', 400, get({ 'Content-Length': '4', 'Transfer-Encoding': 'chunked' })],
    ['has an encoding that is none', 400, get({ 'Transfer-Encoding': 'gzip' })],
    ['has no session', 403, get({})],
    ['upgrades without a session', 403, upgradeHead(own.Host, {})],
    ['upgrades to something else', 403, get({ Connection: 'Upgrade', Upgrade: 'h2c' })],
    ['upgrades without a key', 400, upgradeHead(own.Host, { ...target.headers, 'Sec-WebSocket-Key': '' })],
    [
      'upgrades to a version of 2099',
      400,
      upgradeHead(own.Host, { ...target.headers, 'Sec-WebSocket-Version': '99' }),
    ],
  ]
}

const repeat = async (times: number, act: () => Promise<unknown>): Promise<void> => {
  await Promise.all(Array.from({ length: times }, act))
}

/** Sends and resets (RST), at once and after the first bytes of the answer. */
async function sendAndReset({ port }: Target, bytes: string | Buffer): Promise<void> {
  const atOnce = await openRaw(port)
  atOnce.write(bytes)
  atOnce.resetAndDestroy()
  const later = await openRaw(port)
  later.write(bytes)
  await happens(later, 'data')
  later.resetAndDestroy()
}

export const ATTACKS: Readonly<Record<string, (target: Target) => Promise<unknown>>> = {
  'refused upgrades that are reset': (target) =>
    repeat(50, () => sendAndReset(target, upgradeHead(hostOf(target), {}))),

  'refused upgrades that are never read': (target) =>
    repeat(20, async () => {
      const socket = await openRaw(target.port)
      socket.pause()
      socket.write(upgradeHead(hostOf(target), {}))
      socket.end(Buffer.alloc(100_000))
      socket.resume()
      await happens(socket, 'close')
    }),

  'half an upgrade': (target) =>
    repeat(20, async () => {
      const socket = await openRaw(target.port)
      socket.write(upgradeHead(hostOf(target), target.headers).slice(0, -4))
      socket.resetAndDestroy()
    }),

  'accepted upgrades that are reset': (target) =>
    repeat(20, () => sendAndReset(target, upgradeHead(hostOf(target), target.headers))),

  'upgrades with garbage behind them': (target) =>
    repeat(20, () =>
      sendAndReset(
        target,
        Buffer.concat([text(upgradeHead(hostOf(target), target.headers)), Buffer.alloc(5_000, 0xff)]),
      ),
    ),

  'malformed frames': async (target) => {
    for (const [, , frames] of BAD_FRAMES) await sendFrames(target, frames)
  },

  'malformed frames that are reset': async (target) => {
    for (const [, , frames] of BAD_FRAMES) {
      const socket = await openRawWebSocket(target.port, target.headers)
      socket.write(Buffer.concat(frames.map(frame)))
      socket.resetAndDestroy()
    }
  },

  'messages that mean nothing': async (target) => {
    const socket = await openRawWebSocket(target.port, target.headers)
    socket.resume()
    for (const message of STRANGE_MESSAGES) socket.write(frame({ opcode: TEXT, payload: text(message) }))
    socket.write(frame({ opcode: BINARY, payload: Buffer.alloc(1_000, 0xfe) }))
    socket.write(frame({ opcode: CLOSE }))
    await happens(socket, 'close')
  },

  'a window that takes no answers': async (target) => {
    const socket = await openRawWebSocket(target.port, target.headers)
    socket.pause()
    // Each answer says the name of the command again, which there is not.
    const name = 'x'.repeat(MB)
    for (let id = 0; id < 300 && !socket.destroyed; id++) {
      const ask = JSON.stringify({ type: 'ask', id, command: name, input: {} })
      if (!socket.write(frame({ opcode: TEXT, payload: text(ask) }))) await happens(socket, 'drain')
    }
    socket.resume()
    await happens(socket, 'close')
  },

  'bytes that are no request': async (target) => {
    for (const [, , bytes] of badRequests(target)) await sendRaw(target.port, bytes)
  },

  'a thousand requests at once on one connection': async (target) => {
    const one = (headers: Record<string, string>): string =>
      head('GET / HTTP/1.1', { Host: hostOf(target), ...headers })
    for (const headers of [{}, target.headers]) await sendRaw(target.port, one(headers).repeat(1_000))
    await sendRaw(target.port, `${one(target.headers)}${'garbage\r\n'.repeat(1_000)}`)
  },

  'answers that are reset in the middle': (target) =>
    repeat(20, () =>
      sendAndReset(target, head('GET /index.html HTTP/1.1', { Host: hostOf(target), ...target.headers })),
    ),

  'takes whose sending is reset': (target) =>
    repeat(20, async () => {
      const socket = await openRaw(target.port)
      const headers = { Host: hostOf(target), ...target.headers, 'Content-Length': '1000000' }
      socket.write(head('PUT /incoming/cut.wav HTTP/1.1', headers))
      socket.write(Buffer.alloc(100_000))
      if (socket.writableNeedDrain) await happens(socket, 'drain')
      socket.resetAndDestroy()
    }),

  'a take in parts that are none': async (target) => {
    const headers = { Host: hostOf(target), ...target.headers, 'Transfer-Encoding': 'chunked' }
    const start = head('PUT /incoming/cut.wav HTTP/1.1', headers)
    for (const parts of [
      'zz\r\nx\r\n',
      'ffffffffffffffffff\r\n',
      '1\r\nxx\r\n',
      `1;${'x'.repeat(50_000)}\r\n`,
    ]) {
      await sendRaw(target.port, start + parts)
    }
  },
}
