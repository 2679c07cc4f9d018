export const figure = {}
