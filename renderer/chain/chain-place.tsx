// Chain.

export const ChainPlace = () => <h1>Chain</h1>
