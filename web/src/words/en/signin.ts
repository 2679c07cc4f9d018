export const signin = {}
