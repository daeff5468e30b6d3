// Mics.

export const MicsPlace = () => <h1>Mics</h1>
