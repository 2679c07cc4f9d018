export const child = {}
