export const card = {}
