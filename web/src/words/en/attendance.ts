export const attendance = {}
