// Ledger.

export const LedgerPlace = () => <h1>Ledger</h1>
