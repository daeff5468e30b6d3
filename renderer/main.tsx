// The window's entry: styles, the query client, and the shell.

import './styles/tokens.css'
import './styles/base.css'
import { QueryClientProvider } from '@tanstack/react-query'
import { StrictMode } from 'react'
import { createRoot } from 'react-dom/client'
import { App } from './shell/app.tsx'
import { followBackgroundTasks } from './shell/follow-background-tasks.ts'
import { keepDrafts } from './state/chain/kept-drafts.ts'
import { queryClient } from './state/query-client.ts'
import { applyStoredTheme } from './state/theme.ts'
import { showWarnings } from './state/warnings.ts'

applyStoredTheme()
// The window already shows when the connection is lost.
showWarnings().catch(() => {})

createRoot(document.getElementById('window')!).render(
  <StrictMode>
    <QueryClientProvider client={queryClient}>
      <App />
    </QueryClientProvider>
  </StrictMode>,
)

void followBackgroundTasks()
keepDrafts()
