// Which user of the machine is at the other end of a connection: a second line behind token, cookie and page
// key, should another user get to see one. The kernel knows who is asking; Linux says it to everybody, other
// systems do not.

import { readFileSync } from 'node:fs'
import type { Socket } from 'node:net'
import { release } from 'node:os'

const TABLES = ['/proc/net/tcp', '/proc/net/tcp6']
const ESTABLISHED = '01'
const ROOT = 0

// A window may come from Windows into its Linux, where the table has no row for it.
const userId = process.platform === 'linux' && !/microsoft/i.test(release()) ? process.getuid?.() : undefined

const known = new WeakMap<Socket, boolean>()

/**
 * Whether this connection is held by the host's own user, or by root, whom nothing keeps out. True as well
 * where the system does not say. Not by one that is gone already: nobody can say whose it was, and what it has
 * sent would still be done.
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
    // At least the host itself, which listens there.
    if (local?.endsWith(here)) listsHost = true
    if (local?.endsWith(there) && remote?.endsWith(here)) {
      return state === ESTABLISHED && [user, ROOT].includes(Number(owner))
    }
  }
  // A table without the host in it is of no use.
  return !listsHost
}

function linesOf(table: string): string[] {
  try {
    return readFileSync(table, 'latin1').split('\n')
  } catch {
    return []
  }
}

/** As the tables write it: the bytes of the address as one little-endian number, then the port, in hexadecimal. */
function ending(address: string, port = 0): string {
  const bytes = address
    .replace(/^::ffff:/, '')
    .split('.')
    .map(Number)
  return `${hex(bytes.reverse(), 2)}:${hex([port], 4)}`
}

const hex = (numbers: readonly number[], digits: number): string =>
  numbers.map((number) => number.toString(16).toUpperCase().padStart(digits, '0')).join('')
