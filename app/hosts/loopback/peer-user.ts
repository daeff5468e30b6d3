// Which user of the machine is at the other end of a connection: a second line of defence behind token,
// cookie and page key, in case another user gets hold of one. Linux lists the owner of every connection for
// everybody to read; other systems do not.

import { readFileSync } from 'node:fs'
import type { Socket } from 'node:net'
import { release } from 'node:os'

const TABLES = ['/proc/net/tcp', '/proc/net/tcp6']
const ESTABLISHED = '01'
const ROOT = 0

// In WSL the browser may run on Windows, and Linux's table then has no row for its connection.
const userId = process.platform === 'linux' && !/microsoft/i.test(release()) ? process.getuid?.() : undefined

const known = new WeakMap<Socket, boolean>()

/**
 * Whether the other end of this connection belongs to the host's own user, or to root, who cannot be kept
 * out. Also true if the system does not say. False for a connection that is already closed: its owner can no
 * longer be found, and what it sent would still be carried out.
 */
export function isOwnUser(socket: Socket): boolean {
  if (userId === undefined) return true
  let isOwn = known.get(socket)
  if (isOwn === undefined) {
    isOwn = ask(socket, userId)
    known.set(socket, isOwn)
  }
  return isOwn
}

function ask({ localAddress, localPort, remoteAddress, remotePort }: Socket, user: number): boolean {
  if (localAddress === undefined || remoteAddress === undefined) return false
  const here = ending(localAddress, localPort)
  const there = ending(remoteAddress, remotePort)
  let listsHost = false
  for (const line of TABLES.flatMap(linesOf)) {
    // Number, local address, remote address, state, queues, timer, retransmits, user (man proc_pid_net).
    const [, local, remote, state, , , , owner] = line.trim().split(/\s+/)
    // A usable table has at least the row of the host's own listening socket.
    if (local?.endsWith(here)) listsHost = true
    if (local?.endsWith(there) && remote?.endsWith(here)) {
      return state === ESTABLISHED && [user, ROOT].includes(Number(owner))
    }
  }
  // A table that does not list the host says nothing about the connection either.
  return !listsHost
}

function linesOf(table: string): string[] {
  try {
    return readFileSync(table, 'latin1').split('\n')
  } catch {
    return []
  }
}

/** In the tables' format: the address bytes as one little-endian number, then the port, in hexadecimal. */
function ending(address: string, port = 0): string {
  const bytes = address
    .replace(/^::ffff:/, '')
    .split('.')
    .map(Number)
  return `${hex(bytes.reverse(), 2)}:${hex([port], 4)}`
}

const hex = (numbers: readonly number[], digits: number): string =>
  numbers.map((number) => number.toString(16).toUpperCase().padStart(digits, '0')).join('')
