export const settings = {}
