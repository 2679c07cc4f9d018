export const today = {}
