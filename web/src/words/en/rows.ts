export const rows = {}
