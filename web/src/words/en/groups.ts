export const groups = {}
