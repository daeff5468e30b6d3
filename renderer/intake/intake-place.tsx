// Intake.

export const IntakePlace = () => <h1>Intake</h1>
