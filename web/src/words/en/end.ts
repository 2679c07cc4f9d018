export const end = {}
