export const sync = {}
