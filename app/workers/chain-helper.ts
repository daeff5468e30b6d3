// Entry point of a helper thread, which works on one chain after another.

import { parentPort } from 'node:worker_threads'
import { helpWithChain } from '../engine/chain/help-with-chain.ts'

parentPort?.on('message', helpWithChain)
