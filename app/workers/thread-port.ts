// A thread as a port for calls (contract/wire/calls.ts), from either side of it.

import type { MessagePort, Worker } from 'node:worker_threads'
import type { Port } from '../contract/wire/port.ts'

/** @param end a worker as its starter has it, or `parentPort` within it */
export function createThreadPort(end: Worker | MessagePort): Port {
  return {
    post(message) {
      // Samples change hands without being copied.
      const isSamples = message.type === 'done' && message.output instanceof Float32Array
      end.postMessage(message, isSamples ? [(message.output as Float32Array<ArrayBuffer>).buffer] : [])
    },
    listen(hear, closed) {
      end.on('message', hear)
      // A worker tells of its end by the one, a port by the other.
      end.on('exit', closed)
      end.on('close', closed)
      return () => {
        end.off('message', hear)
        end.off('exit', closed)
        end.off('close', closed)
      }
    },
  }
}
