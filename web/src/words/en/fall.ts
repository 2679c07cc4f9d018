export const fall = {}
