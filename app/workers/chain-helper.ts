// The entry of a helper thread: one chain after another.

import { parentPort } from 'node:worker_threads'
import { helpWithChain } from '../engine/chain/help-with-chain.ts'

parentPort?.on('message', helpWithChain)
