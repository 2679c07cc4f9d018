export const timer = {}
