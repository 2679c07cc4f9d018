export const mat = {}
