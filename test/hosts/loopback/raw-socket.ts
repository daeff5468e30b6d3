// Bytes on a connection, as no library would send them: requests by hand, and WebSocket frames by
// hand after RFC 6455, section 5.2.

import { randomBytes } from 'node:crypto'
import { once } from 'node:events'
import { connect, type Socket } from 'node:net'

/** A connection whose end or reset is nobody's error here. */
export async function openRaw(port: number): Promise<Socket> {
  const socket = connect(port, '127.0.0.1')
  socket.on('error', () => {})
  await happens(socket, 'connect')
  return socket
}

/** Until this happens, or the connection is gone. */
export async function happens(socket: Socket, event: 'connect' | 'data' | 'drain' | 'close'): Promise<void> {
  if (socket.destroyed) return
  await new Promise<void>((resolve) => {
    const settle = (): void => {
      socket.off(event, settle)
      socket.off('close', settle)
      resolve()
    }
    socket.on(event, settle)
    socket.on('close', settle)
  })
}

/** Sends bytes and gives all that comes back until the other side ends the connection. */
export async function sendRaw(port: number, bytes: string | Buffer): Promise<string> {
  const socket = await openRaw(port)
  const parts: Buffer[] = []
  socket.on('data', (part: Buffer) => parts.push(part))
  socket.write(bytes)
  await happens(socket, 'close')
  return Buffer.concat(parts).toString('latin1')
}

export const statusOf = (answer: string): number => Number(/^HTTP\/1\.1 (\d{3}) /.exec(answer)?.[1])

/** The head of a request as text. */
export function head(line: string, headers: Readonly<Record<string, string>>): string {
  const lines = Object.entries(headers).map(([name, value]) => `${name}: ${value}`)
  return `${[line, ...lines].join('\r\n')}\r\n\r\n`
}

export const upgradeHead = (
  host: string,
  headers: Readonly<Record<string, string>>,
  path = '/port',
): string =>
  head(`GET ${path} HTTP/1.1`, {
    Host: host,
    Connection: 'Upgrade',
    Upgrade: 'websocket',
    'Sec-WebSocket-Version': '13',
    'Sec-WebSocket-Key': randomBytes(16).toString('base64'),
    ...headers,
  })

export interface Frame {
  readonly opcode: number
  readonly payload?: Buffer
  readonly isLast?: boolean
  /** The three reserved bits, as a number. */
  readonly reserved?: number
  readonly isMasked?: boolean
  /** Instead of the payload's own length. */
  readonly saidLength?: bigint
}

export const TEXT = 1
export const BINARY = 2
export const CONTINUATION = 0
export const CLOSE = 8
export const PING = 9

export function frame({
  opcode,
  payload = Buffer.alloc(0),
  isLast = true,
  reserved = 0,
  isMasked = true,
  saidLength = BigInt(payload.length),
}: Frame): Buffer {
  const first = (isLast ? 0x80 : 0) | (reserved << 4) | opcode
  const maskBit = isMasked ? 0x80 : 0
  const length =
    saidLength < 126n
      ? Buffer.from([first, maskBit | Number(saidLength)])
      : saidLength < 65_536n
        ? Buffer.from([first, maskBit | 126, Number(saidLength >> 8n), Number(saidLength & 255n)])
        : Buffer.concat([Buffer.from([first, maskBit | 127]), bigEndian(saidLength)])
  if (!isMasked) return Buffer.concat([length, payload])
  // A mask of zeros leaves the payload as it is.
  return Buffer.concat([length, Buffer.alloc(4), payload])
}

function bigEndian(number: bigint): Buffer {
  const bytes = Buffer.alloc(8)
  bytes.writeBigUInt64BE(number)
  return bytes
}

/** A WebSocket that the host has taken, for frames by hand. */
export async function openRawWebSocket(
  port: number,
  headers: Readonly<Record<string, string>>,
): Promise<Socket> {
  const socket = await openRaw(port)
  socket.write(upgradeHead(`127.0.0.1:${port}`, headers))
  const [answer] = (await once(socket, 'data')) as [Buffer]
  if (!answer.toString('latin1').startsWith('HTTP/1.1 101 ')) throw new Error(answer.toString('latin1'))
  return socket
}

/** The status of the close frame that comes back (section 5.5.1); null where the connection ends without one. */
export async function closeStatusOf(socket: Socket): Promise<number | null> {
  let bytes = Buffer.alloc(0)
  socket.on('data', (part: Buffer) => {
    bytes = Buffer.concat([bytes, part])
    // The other side waits for this one to end the connection.
    if (statusIn(bytes) !== null) socket.end()
  })
  await happens(socket, 'close')
  return statusIn(bytes)
}

/** Frames of a server are not masked. */
function statusIn(bytes: Buffer): number | null {
  let at = 0
  while (at + 4 <= bytes.length) {
    const short = bytes[at + 1] & 127
    const header = short < 126 ? 2 : short === 126 ? 4 : 10
    const length =
      short < 126 ? short : short === 126 ? bytes.readUInt16BE(at + 2) : Number(bytes.readBigUInt64BE(at + 2))
    if ((bytes[at] & 15) === CLOSE) return bytes.readUInt16BE(at + header)
    at += header + length
  }
  return null
}
