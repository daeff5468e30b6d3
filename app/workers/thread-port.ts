// A thread as a port for calls (contract/wire/calls.ts), from either side of it.

import type { MessagePort, Worker } from 'node:worker_threads'
import type { Port } from '../contract/wire/port.ts'

/** @param end the Worker object on the side that started it, or `parentPort` inside the worker */
export function createThreadPort(end: Worker | MessagePort): Port {
  return {
    post(message) {
      // Sample buffers are transferred instead of copied.
      const isSamples = message.type === 'done' && message.output instanceof Float32Array
      end.postMessage(message, isSamples ? [(message.output as Float32Array<ArrayBuffer>).buffer] : [])
    },
    listen(hear, closed) {
      end.on('message', hear)
      // A Worker emits 'exit' when it ends, a MessagePort emits 'close'.
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
