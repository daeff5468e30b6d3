// Stack.

export const StackPlace = () => <h1>Stack</h1>
